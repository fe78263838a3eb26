package audio_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pluckweigh/audio"
)

// flacOf encodes interleaved integers of the given depth with the flac program
// and returns the file.
func flacOf(t testing.TB, x []int32, channels, bits, rate int, args ...string) string {
	t.Helper()
	width := (bits + 7) / 8
	// In WAV the valid bits are the upper ones, and 8 bits are unsigned.
	raw := make([]byte, 0, len(x)*width)
	for _, v := range x {
		u := uint32(v) << (8*width - bits)
		if width == 1 {
			u ^= 0x80
		}
		var b [4]byte
		binary.LittleEndian.PutUint32(b[:], u)
		raw = append(raw, b[:width]...)
	}
	f := form{tag: 1, bits: 8 * width, bytes: width}
	in := writeFile(t, "in.wav", riff(f.extensible(channels, rate, bits), chunk("data", raw)))
	out := filepath.Join(t.TempDir(), "out.flac")
	run(t, "flac", append(append([]string{"--silent", "--no-padding", "--lax"}, args...), "-o", out, in)...)
	return out
}

// tones are interleaved integers of a few tones and some noise, so that all
// kinds of prediction are in use.
func tones(n, channels, bits int, level float64) []int32 {
	full := math.Ldexp(level, bits-1)
	noise := sound(n, channels)
	x := make([]int32, n*channels)
	for i := range x {
		k, c := i/channels, i%channels
		v := 0.9*math.Sin(float64(k)*0.01*float64(1+c%3)) + 0.09*noise[i]*math.Exp(-float64(k)/2000)
		x[i] = int32(math.Round(v * (full - 1)))
	}
	return x
}

func fractions(x []int32, bits int) []float64 {
	y := make([]float64, len(x))
	for i := range x {
		y[i] = math.Ldexp(float64(x[i]), 1-bits)
	}
	return y
}

// TestFLACDepths: every depth comes back bit by bit, as encoded and as decoded
// by the flac program.
func TestFLACDepths(t *testing.T) {
	for bits := 4; bits <= 31; bits++ {
		for _, channels := range []int{1, 2} {
			t.Run(fmt.Sprintf("%d/%d", bits, channels), func(t *testing.T) {
				x := tones(5001, channels, bits, 1)
				path := flacOf(t, x, channels, bits, 48000)
				agree(t, path, fractions(x, bits), channels, 48000)
			})
		}
	}
}

// TestFLACBySox: files of the depths that sox writes are read as sox reads them.
func TestFLACBySox(t *testing.T) {
	for _, bits := range []string{"8", "16", "24"} {
		for _, channels := range []int{1, 2, 8} {
			path := filepath.Join(t.TempDir(), "a.flac")
			run(t, "sox", "-t", "raw", "-r", "44100", "-c", fmt.Sprint(channels), "-e", "signed", "-b", "32", "-L",
				noise32(t, 5001*channels), "-b", bits, path)
			agree(t, path, bySox(t, path), channels, 44100)
		}
	}
}

// TestFLACStereo: all ways of coding stereo, at full scale.
func TestFLACStereo(t *testing.T) {
	for _, bits := range []int{16, 24, 31} {
		for name, right := range map[string]func(l int32) int32{
			"same":    func(l int32) int32 { return l },
			"near":    func(l int32) int32 { return l - l/16 },
			"half":    func(l int32) int32 { return l / 2 },
			"inverse": func(l int32) int32 { return -l },
		} {
			for _, coding := range []string{"--no-mid-side", "--mid-side", "--adaptive-mid-side"} {
				t.Run(fmt.Sprintf("%d/%s%s", bits, name, coding), func(t *testing.T) {
					x := tones(5001, 2, bits, 1)
					for i := 0; i < len(x); i += 2 {
						x[i+1] = right(x[i])
					}
					path := flacOf(t, x, 2, bits, 48000, coding)
					agree(t, path, fractions(x, bits), 2, 48000)
				})
			}
		}
	}
}

// TestFLACRefused: what the decoder cannot do is said.
func TestFLACRefused(t *testing.T) {
	file, err := os.ReadFile(flacOf(t, tones(5000, 1, 32, 1), 1, 32, 48000))
	if err != nil {
		t.Fatal(err)
	}
	wantError(t, file, audio.Options{}, "FLAC file of 32 bits")

	file, err = os.ReadFile(flacOf(t, tones(5000, 2, 16, 1), 2, 16, 48000))
	if err != nil {
		t.Fatal(err)
	}
	wantError(t, file, audio.Options{Channel: 3}, "no channel 3")
	file[18], file[19] = 0x01, 0xF3 // 7984 Hz
	wantError(t, file, audio.Options{}, "sample rate of 7984 Hz")
}

// TestFLACRates covers rates with and without a code of their own.
func TestFLACRates(t *testing.T) {
	for _, rate := range []int{8000, 11025, 22050, 24000, 32000, 44100, 88200, 176400, 192000, 384000} {
		x := tones(2000, 1, 16, 1)
		agree(t, flacOf(t, x, 1, 16, rate), fractions(x, 16), 1, rate)
	}
}

// TestFLACTags: tags before and after the stream do not matter.
func TestFLACTags(t *testing.T) {
	x := tones(5000, 1, 16, 1)
	file, err := os.ReadFile(flacOf(t, x, 1, 16, 48000, "--padding=5000", "--tag=TITLE=low E"))
	if err != nil {
		t.Fatal(err)
	}
	id3 := append([]byte("ID3\x04\x00\x00\x00\x00\x02\x01"), make([]byte, 257)...)
	file = slices.Concat(id3, file, []byte("TAG"), make([]byte, 125))
	equal(t, all(t, openBytes(t, file, audio.Options{})), fractions(x, 16))
}

// TestFLACStreamed: a stream that does not say how long it is.
func TestFLACStreamed(t *testing.T) {
	x := tones(5001, 2, 16, 1)
	in := formNamed("s16")
	path := writeFile(t, "in.wav", riff(in.fmtChunk(2, 48000), chunk("data", in.data(fractions(x, 16)))))
	// Without an output file flac cannot come back to the stream info.
	pipe := writeFile(t, "out.flac", run(t, "sh", "-c", "cat '"+path+"' | flac --silent --ignore-chunk-sizes --stdout -"))
	agree(t, pipe, fractions(x, 16), 2, 48000)
}

// TestFLACTruncated: what is there is delivered, and what lacks is said.
func TestFLACTruncated(t *testing.T) {
	x := tones(50000, 1, 16, 1)
	file, err := os.ReadFile(flacOf(t, x, 1, 16, 48000))
	if err != nil {
		t.Fatal(err)
	}
	s := openBytes(t, file[:len(file)/2], audio.Options{})
	got := all(t, s)
	n := len(got)
	equal(t, got, fractions(x[:n], 16))
	want := []audio.Flaw{{Kind: audio.Truncated, At: int64(n), Len: int64(len(x) - n)}}
	if n == 0 || !slices.Equal(s.Flaws(), want) {
		t.Errorf("%d samples, flaws %v, want %v", n, s.Flaws(), want)
	}
	wantError(t, file[:bytes.Index(file, []byte{0xFF, 0xF8})+20], audio.Options{}, "without samples")
	wantError(t, file[:60], audio.Options{}, "ends within its header")
	wantError(t, file[:30], audio.Options{}, "ends within its header")
}

// TestFLACDamaged: damage anywhere is said, never heard.
func TestFLACDamaged(t *testing.T) {
	x := tones(50000, 1, 16, 1)
	file, err := os.ReadFile(flacOf(t, x, 1, 16, 48000))
	if err != nil {
		t.Fatal(err)
	}
	damage := func(at int) []byte {
		b := slices.Clone(file)
		b[at] ^= 0x10
		return b
	}
	wantError(t, damage(4), audio.Options{}, "stream info is lacking")
	for _, at := range []int{26, len(file) / 3, len(file) / 2, len(file) - 1} { // 26: within the checksum
		s := openBytes(t, damage(at), audio.Options{})
		got, err := drain(s)
		if err == nil {
			t.Fatalf("damage at byte %d passes", at)
		}
		checkError(t, err, "damaged FLAC")
		if len(got) > len(x) {
			t.Fatalf("%d samples of %d", len(got), len(x))
		}
		equal(t, got, fractions(x[:len(got)], 16))
	}
}

// TestFLACReadError: a failing disk is not a damaged file.
func TestFLACReadError(t *testing.T) {
	x := tones(200_000, 1, 16, 1)
	file, err := os.ReadFile(flacOf(t, x, 1, 16, 48000))
	if err != nil {
		t.Fatal(err)
	}
	broken := errors.New("disk on fire")
	s, err := audio.NewReader(io.MultiReader(strings.NewReader(string(file[:len(file)/2])), failing{broken}), audio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err = drain(s); !errors.Is(err, broken) {
		t.Fatalf("error is %v, want %v", err, broken)
	}
	checkError(t, err, "cannot be read")
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }
