package audio_test

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pluckweigh/audio"
)

// floats reads 64-bit floating point samples.
func floats(b []byte) []float64 {
	x := make([]float64, len(b)/8)
	for i := range x {
		x[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
	}
	return x
}

// ints reads signed integers of the given width in bytes as fractions of full
// scale.
func ints(b []byte, width int) []float64 {
	x := make([]float64, len(b)/width)
	for i := range x {
		var v int64
		for j := range width {
			v |= int64(b[i*width+j]) << (64 - 8*width + 8*j)
		}
		x[i] = math.Ldexp(float64(v), -63)
	}
	return x
}

// agree compares the mean of the channels and some of them with the samples
// another program decoded from the file, bit by bit. Some of the channels may
// cancel.
func agree(t *testing.T, path string, want []float64, channels, rate int) {
	t.Helper()
	for _, channel := range slices.Compact([]int{0, 1, (channels + 1) / 2, channels}) {
		s := openPath(t, path, audio.Options{Channel: channel})
		if s.Rate() != float64(rate) {
			t.Fatalf("rate is %v, want %d", s.Rate(), rate)
		}
		equal(t, all(t, s), pick(want, channels, channel))
		for _, f := range s.Flaws() {
			if f.Kind != audio.Cancelled {
				t.Errorf("flaw %v", f)
			}
		}
	}
}

// bySox decodes a file with sox, which works in 32-bit integers.
func bySox(t *testing.T, path string) []float64 {
	return ints(run(t, "sox", "-D", path, "-t", "raw", "-e", "signed", "-b", "32", "-L", "-"), 4)
}

// bySndfile decodes a file with libsndfile, integers as such: asked for
// floating point, its converter scales them.
func bySndfile(t *testing.T, path string, float bool) []float64 {
	t.Helper()
	out := filepath.Join(t.TempDir(), "decoded.au")
	coding := "-pcm32"
	if float {
		coding = "-float64"
	}
	run(t, "sndfile-convert", coding, "-endian=little", path, out)
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	b = b[binary.LittleEndian.Uint32(b[4:]):]
	if float {
		return floats(b)
	}
	return ints(b, 4)
}

// noise32 is a raw file of 32-bit noise, a little below full scale so that
// rounding does not clip.
func noise32(t *testing.T, n int) string {
	r := rand.New(rand.NewPCG(3, 4))
	b := make([]byte, 4*n)
	for i := range n {
		x := r.Float64()*2 - 1
		if i%3 == 0 {
			x *= 1e-3
		}
		binary.LittleEndian.PutUint32(b[4*i:], uint32(int32(x*0.999*(1<<31))))
	}
	return writeFile(t, "noise.raw", b)
}

// TestWAVBySox: files that sox wrote are read as sox and libsndfile read them.
func TestWAVBySox(t *testing.T) {
	const n = 2501
	tests := []struct {
		encoding string
		bits     int
	}{
		{"unsigned", 8}, {"signed", 16}, {"signed", 24}, {"signed", 32}, {"float", 32}, {"float", 64},
	}
	for _, tt := range tests {
		for _, shape := range []struct{ channels, rate int }{{1, 44100}, {2, 96000}, {6, 384000}, {32, 8000}} {
			t.Run(fmt.Sprintf("%s%d/%d", tt.encoding, tt.bits, shape.channels), func(t *testing.T) {
				path := filepath.Join(t.TempDir(), "a.wav")
				run(t, "sox", "-t", "raw", "-r", strconv.Itoa(shape.rate), "-c", strconv.Itoa(shape.channels),
					"-e", "signed", "-b", "32", "-L", noise32(t, n*shape.channels),
					"-e", tt.encoding, "-b", strconv.Itoa(tt.bits), path)
				agree(t, path, bySox(t, path), shape.channels, shape.rate)
				agree(t, path, bySndfile(t, path, tt.encoding == "float"), shape.channels, shape.rate)
			})
		}
	}
}

// TestWAVBySndfile: files that libsndfile wrote are read as sox and libsndfile
// read them.
func TestWAVBySndfile(t *testing.T) {
	const channels, rate = 2, 48000
	f := formNamed("s32")
	in := writeFile(t, "in.wav", riff(f.fmtChunk(channels, rate), chunk("data", f.data(sound(3001, channels)))))
	for _, coding := range []string{"-pcmu8", "-pcm16", "-pcm24", "-pcm32", "-float32", "-float64"} {
		t.Run(coding, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "a.wav")
			run(t, "sndfile-convert", coding, in, path)
			agree(t, path, bySox(t, path), channels, rate)
			agree(t, path, bySndfile(t, path, strings.HasPrefix(coding, "-float")), channels, rate)
		})
	}
}

// TestWAVOwnFormsBySndfile: what the other tests build by hand means to
// libsndfile what it means here, floating point below the steps of 32-bit
// integers included.
func TestWAVOwnFormsBySndfile(t *testing.T) {
	for _, f := range forms {
		for _, valid := range []int{0, f.bits, f.bits - 4} { // 0 for a plain header
			if f.tag == 3 && valid == f.bits-4 {
				continue
			}
			t.Run(fmt.Sprintf("%s/%d", f.name, valid), func(t *testing.T) {
				x := sound(999, 2)
				if f.tag == 3 {
					for i := range x {
						x[i] *= math.Ldexp(1, -(i % 60))
					}
				}
				head := f.fmtChunk(2, 48000)
				if valid > 0 {
					head = f.extensible(2, 48000, valid)
				}
				path := writeFile(t, "a.wav", riff(head, chunk("bext", make([]byte, 603)), chunk("data", f.data(x)),
					chunk("LIST", []byte("INFO"))))
				agree(t, path, bySndfile(t, path, f.tag == 3), 2, 48000)
			})
		}
	}
}

// TestRF64BySndfile: RF64 means to libsndfile what it means here.
func TestRF64BySndfile(t *testing.T) {
	f := formNamed("s24")
	b := f.data(sound(1000, 2))
	path := writeFile(t, "a.wav", rf64("RF64", uint64(len(b)), f.fmtChunk(2, 48000), sized("data", math.MaxUint32, b)))
	agree(t, path, bySndfile(t, path, false), 2, 48000)
}

// TestSoxPipe: what sox writes into a pipe, not knowing how much will come, is
// read to its end without a flaw.
func TestSoxPipe(t *testing.T) {
	raw := noise32(t, 10001)
	for _, args := range [][]string{
		{"-e", "signed", "-b", "16"}, {"-e", "signed", "-b", "24"}, {"-e", "float", "-b", "32"},
	} {
		in := []string{"-D", "-t", "raw", "-r", "48000", "-c", "1", "-e", "signed", "-b", "32", "-L", raw}
		// An effect that sox cannot foresee the length of.
		stream := run(t, "sox", append(append(in, args...), "-t", "wav", "-", "silence", "1", "1", "0")...)
		s := openBytes(t, stream, audio.Options{})
		equal(t, all(t, s), bySox(t, writeFile(t, "a.wav", stream)))
		if flaws := s.Flaws(); len(flaws) > 0 {
			t.Errorf("%v: flaws %v", args, flaws)
		}
	}
}
