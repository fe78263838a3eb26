package audio_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"pluckweigh/audio"
)

// A form is one way a WAV file stores samples.
type form struct {
	name  string
	tag   uint16
	bits  int // of the container
	bytes int
	put   func(b []byte, x float64) // x within ±1
}

func putInt(bits int) func([]byte, float64) {
	return func(b []byte, x float64) {
		v := int64(math.RoundToEven(math.Ldexp(x, bits-1)))
		v = min(max(v, -1<<(bits-1)), 1<<(bits-1)-1)
		if bits == 8 {
			v += 128
		}
		for i := range bits / 8 {
			b[i] = byte(v >> (8 * i))
		}
	}
}

var forms = []form{
	{"u8", 1, 8, 1, putInt(8)},
	{"s16", 1, 16, 2, putInt(16)},
	{"s24", 1, 24, 3, putInt(24)},
	{"s32", 1, 32, 4, putInt(32)},
	{"f32", 3, 32, 4, func(b []byte, x float64) { binary.LittleEndian.PutUint32(b, math.Float32bits(float32(x))) }},
	{"f64", 3, 64, 8, func(b []byte, x float64) { binary.LittleEndian.PutUint64(b, math.Float64bits(x)) }},
}

func formNamed(name string) form {
	for _, f := range forms {
		if f.name == name {
			return f
		}
	}
	panic("no form " + name)
}

// data stores samples, channels interleaved.
func (f form) data(samples []float64) []byte {
	b := make([]byte, len(samples)*f.bytes)
	for i, x := range samples {
		f.put(b[i*f.bytes:], x)
	}
	return b
}

// rounded returns x as the form stores it.
func (f form) rounded(x float64) float64 {
	switch f.name {
	case "f32":
		return float64(float32(x))
	case "f64":
		return x
	}
	v := math.RoundToEven(math.Ldexp(x, f.bits-1))
	return math.Ldexp(min(max(v, -math.Ldexp(1, f.bits-1)), math.Ldexp(1, f.bits-1)-1), 1-f.bits)
}

// fmtChunk is a plain header for the form.
func (f form) fmtChunk(channels, rate int) []byte {
	return chunk("fmt ", fmtBody(f.tag, channels, rate, channels*f.bytes, f.bits))
}

// extensible is a WAVE_FORMAT_EXTENSIBLE header for the form.
func (f form) extensible(channels, rate, valid int) []byte {
	b := fmtBody(0xFFFE, channels, rate, channels*f.bytes, f.bits)
	b = binary.LittleEndian.AppendUint16(b, 22)
	b = binary.LittleEndian.AppendUint16(b, uint16(valid))
	b = binary.LittleEndian.AppendUint32(b, 0) // speakers
	b = binary.LittleEndian.AppendUint16(b, f.tag)
	b = append(b, "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71"...)
	return chunk("fmt ", b)
}

func fmtBody(tag uint16, channels, rate, block, bits int) []byte {
	le := binary.LittleEndian
	b := le.AppendUint16(nil, tag)
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*block))
	b = le.AppendUint16(b, uint16(block))
	return le.AppendUint16(b, uint16(bits))
}

// chunk is a RIFF chunk, padded to even length.
func chunk(id string, body []byte) []byte {
	b := sized(id, uint32(len(body)), body)
	if len(body)%2 == 1 {
		b = append(b, 0)
	}
	return b
}

// sized is a RIFF chunk that claims the size given.
func sized(id string, size uint32, body []byte) []byte {
	b := binary.LittleEndian.AppendUint32([]byte(id), size)
	return append(b, body...)
}

// riff puts chunks into a WAV file.
func riff(chunks ...[]byte) []byte {
	body := append([]byte("WAVE"), bytes.Join(chunks, nil)...)
	return chunk("RIFF", body)
}

// rf64 is riff with 64-bit sizes: data says how long its data chunk is.
func rf64(magic string, data uint64, chunks ...[]byte) []byte {
	le := binary.LittleEndian
	all := bytes.Join(chunks, nil)
	ds64 := le.AppendUint64(nil, uint64(len(all)+4+36))
	ds64 = le.AppendUint64(ds64, data)
	ds64 = le.AppendUint64(ds64, 0)
	ds64 = le.AppendUint32(ds64, 0)
	body := append([]byte("WAVE"), chunk("ds64", ds64)...)
	return sized(magic, math.MaxUint32, append(body, all...))
}

// sound returns n frames of interleaved samples within ±1: noise, with the
// extremes and zero in it.
func sound(n, channels int) []float64 {
	r := rand.New(rand.NewPCG(1, uint64(channels)))
	x := make([]float64, n*channels)
	for i := range x {
		x[i] = 2*r.Float64() - 1
	}
	copy(x, []float64{0, -1, 1 - 0x1p-23, 0x1p-23, -0x1p-23, 0.5, -0.5})
	return x
}

// pick returns what a source of the interleaved samples delivers for channel.
func pick(samples []float64, channels, channel int) []float64 {
	mono := make([]float64, len(samples)/channels)
	for i := range mono {
		frame := samples[i*channels:][:channels]
		if channel > 0 {
			mono[i] = frame[channel-1]
			continue
		}
		for _, x := range frame {
			mono[i] += x
		}
		mono[i] /= float64(channels)
	}
	return mono
}

// all reads s to its end.
func all(t testing.TB, s audio.Source) []float64 {
	t.Helper()
	samples, err := drain(s)
	if err != nil {
		t.Fatal(err)
	}
	return samples
}

// drain reads s to its end; its error is nil for io.EOF.
func drain(s audio.Source) (samples []float64, err error) {
	buf := make([]float64, 5000)
	for {
		n, err := s.Read(context.Background(), buf)
		samples = append(samples, buf[:n]...)
		if err == io.EOF {
			return samples, nil
		}
		if err != nil {
			return samples, err
		}
	}
}

// openBytes opens b as a stream and closes it with the test.
func openBytes(t testing.TB, b []byte, o audio.Options) audio.Source {
	t.Helper()
	s, err := audio.NewReader(bytes.NewReader(b), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// openPath opens a file and closes it with the test.
func openPath(t testing.TB, path string, o audio.Options) audio.Source {
	t.Helper()
	s, err := audio.Open(path, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// equal fails unless got is want, bit by bit.
func equal(t testing.TB, got, want []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d samples, want %d", len(got), len(want))
	}
	for i := range got {
		if got[i] != want[i] {
			t.Fatalf("sample %d is %v, want %v (of %d)", i, got[i], want[i], len(want))
		}
	}
}

// writeFile puts b into a file of the test's own.
func writeFile(t testing.TB, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, b, 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// run runs a program this package is checked against and returns its standard
// output. Where the program is missing the test is skipped, unless
// PLUCKWEIGH_REQUIRE_TOOLS is 1.
func run(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	out, err := try(t, name, args...)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// try is run for a program that may refuse.
func try(t testing.TB, name string, args ...string) ([]byte, error) {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("PLUCKWEIGH_REQUIRE_TOOLS") == "1" {
			t.Fatalf("%s is missing (Debian packages sox, flac, sndfile-programs)", name)
		}
		t.Skipf("not checked against %s, which is missing (Debian packages sox, flac, sndfile-programs)", name)
	}
	var out, errs bytes.Buffer
	cmd := exec.Command(path, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("%s %q: %w\n%s", name, args, err, errs.Bytes())
	}
	return out.Bytes(), nil
}
