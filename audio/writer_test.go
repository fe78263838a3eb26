package audio_test

import (
	"context"
	"encoding/binary"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio"
)

// write writes samples in pieces of various lengths.
func write(t *testing.T, w *audio.Writer, samples []float64) {
	t.Helper()
	for n := 1; len(samples) > 0; n = n*3%5000 + 1 {
		n := min(n, len(samples))
		if err := w.Write(samples[:n]); err != nil {
			t.Fatal(err)
		}
		samples = samples[n:]
	}
}

// singles are samples that 32 bits hold, from tiny to beyond full scale.
func singles(n int) []float64 {
	x := sound(n, 1)
	for i := range x {
		x[i] = float64(float32(math.Ldexp(x[i], 2-i%60)))
	}
	return x
}

func create(t *testing.T, path string, rate float64) *audio.Writer {
	t.Helper()
	w, err := audio.Create(path, rate)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	return w
}

// TestRoundTrip: a take comes back as it was, and its header is whole.
func TestRoundTrip(t *testing.T) {
	for _, rate := range []float64{8000, 44100, 384000} {
		path := filepath.Join(t.TempDir(), "take.wav")
		x := singles(20_001)
		w := create(t, path, rate)
		write(t, w, x)
		for range 2 {
			if err := w.Close(); err != nil {
				t.Fatal(err)
			}
		}
		s := openPath(t, path, audio.Options{})
		if s.Rate() != rate {
			t.Errorf("rate is %v, want %v", s.Rate(), rate)
		}
		equal(t, all(t, s), x)
		if flaws := s.Flaws(); len(flaws) > 0 {
			t.Errorf("flaws %v", flaws)
		}
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		le := binary.LittleEndian
		data := len(b) - 4*len(x)
		if got := le.Uint32(b[4:]); got != uint32(len(b)-8) {
			t.Errorf("RIFF size is %d, want %d", got, len(b)-8)
		}
		if got := le.Uint32(b[data-4:]); got != uint32(4*len(x)) {
			t.Errorf("data size is %d, want %d", got, 4*len(x))
		}
		if err := w.Write(x); !errors.Is(err, fs.ErrClosed) {
			t.Errorf("Write after Close returned %v, want fs.ErrClosed", err)
		}
	}
}

// TestRoundsToSingle: 32 bits hold 24 of a sample.
func TestRoundsToSingle(t *testing.T) {
	path := filepath.Join(t.TempDir(), "take.wav")
	x := sound(1000, 1)
	w := create(t, path, 48000)
	write(t, w, x)
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for i := range x {
		x[i] = float64(float32(x[i]))
	}
	equal(t, all(t, openPath(t, path, audio.Options{})), x)
}

// TestUnfinishedTake: at any moment the file holds what was written so far, to
// this package and to others.
func TestUnfinishedTake(t *testing.T) {
	path := filepath.Join(t.TempDir(), "take.wav")
	x := singles(10_000)
	w := create(t, path, 48000)
	for n := 1; n <= len(x); n *= 10 {
		write(t, w, x[n/10:n])
		s := openPath(t, path, audio.Options{})
		equal(t, all(t, s), x[:n])
		if flaws := s.Flaws(); len(flaws) > 0 {
			t.Errorf("flaws %v", flaws)
		}
	}
	for i := range x {
		x[i] = float64(float32(math.Ldexp(x[i], -2))) // within ±1
	}
	path = filepath.Join(t.TempDir(), "take.wav")
	w = create(t, path, 48000)
	write(t, w, x)
	equal(t, bySndfile(t, path, true), x)
}

// TestTakeByTools: a whole take is what others read too.
func TestTakeByTools(t *testing.T) {
	path := filepath.Join(t.TempDir(), "take.wav")
	x := sound(5000, 1)
	for i := range x {
		x[i] = float64(float32(math.Round(math.Ldexp(x[i], 20)) * 0x1p-21)) // sox has steps
	}
	w := create(t, path, 44100)
	write(t, w, x)
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	equal(t, bySox(t, path), x)
	equal(t, bySndfile(t, path, true), x)
}

// TestWriteRefusesNoSound: what could not be read again is said, and nothing of it
// is stored.
func TestWriteRefusesNoSound(t *testing.T) {
	path := filepath.Join(t.TempDir(), "take.wav")
	w := create(t, path, 48000)
	write(t, w, []float64{1, 2})
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e39, -3e9} {
		if err := w.Write([]float64{3, x, 4}); err == nil {
			t.Errorf("%v is written", x)
		}
	}
	write(t, w, []float64{5})
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	equal(t, all(t, openPath(t, path, audio.Options{})), []float64{1, 2, 5})
}

func containsAll(s string, parts ...string) bool {
	for _, p := range parts {
		if !strings.Contains(s, p) {
			return false
		}
	}
	return true
}

// TestLongTake: beyond 4 GB a take is RF64.
func TestLongTake(t *testing.T) {
	path := filepath.Join(t.TempDir(), "take.wav")
	w := create(t, path, 48000)
	x := []float64{0.25, -0.5, 0.75}
	write(t, w, x)
	const samples = 1<<30 + 5
	if err := audio.Grow(w, samples); err != nil {
		t.Skipf("no sparse files here: %v", err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	s := openPath(t, path, audio.Options{})
	dst := make([]float64, 5)
	n, err := s.Read(context.Background(), dst)
	if err != nil {
		t.Fatal(err)
	}
	equal(t, dst[:n], []float64{0.25, -0.5, 0.75, 0, 0}[:n])

	b := make([]byte, 200)
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.Read(b); err != nil {
		t.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	for _, field := range []struct {
		name      string
		got, want uint64
	}{
		{"RIFF size", uint64(le.Uint32(b[4:])), math.MaxUint32},
		{"ds64 length", uint64(le.Uint32(b[16:])), 28},
		{"64-bit RIFF size", le.Uint64(b[20:]), uint64(info.Size() - 8)},
		{"64-bit data size", le.Uint64(b[28:]), 4 * samples},
		{"samples", le.Uint64(b[36:]), samples},
	} {
		if field.got != field.want {
			t.Errorf("%s is %d, want %d", field.name, field.got, field.want)
		}
	}
	if string(b[:4]) != "RF64" || string(b[12:16]) != "ds64" {
		t.Errorf("header is %q", b[:16])
	}
	if out := run(t, "sndfile-info", path); !containsAll(string(out), "1073741829", "RF64") {
		t.Errorf("sndfile-info says\n%s", out)
	}
}
