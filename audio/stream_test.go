package audio_test

import (
	"bytes"
	"context"
	"crypto/md5"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"slices"
	"testing"
	"testing/iotest"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/audiotest"
)

// takes are files of all kinds, n frames each.
func takes(n int) map[string][]byte {
	s16, s24, f32 := formNamed("s16"), formNamed("s24"), formNamed("f32")
	x := sound(n, 2)
	opposite := sound(n, 2)
	for i := 1; i < len(opposite); i += 2 {
		opposite[i] = -opposite[i-1]
	}
	opposite[30] = 1e30
	flac, _ := smallFLAC()
	bad := sound(n, 1)
	for i := range bad {
		if i%5000 < 10 || i%1000 == 0 {
			bad[i] = math.NaN()
		}
	}
	return map[string][]byte{
		"s16":        riff(s16.fmtChunk(2, 44100), chunk("data", s16.data(x))),
		"s24":        riff(s24.extensible(2, 96000, 20), chunk("data", s24.data(x))),
		"not finite": riff(f32.fmtChunk(1, 48000), chunk("data", f32.data(bad))),
		"truncated":  riff(s24.fmtChunk(2, 48000), sized("data", 1<<30, s24.data(x))),
		"streamed":   riff(s16.fmtChunk(2, 48000), sized("data", math.MaxUint32, s16.data(x))),
		"opposite":   riff(f32.fmtChunk(2, 48000), chunk("data", f32.data(opposite))),
		"FLAC":       flac,
		"one sample": riff(s16.fmtChunk(1, 48000), chunk("data", []byte{1, 2})),
	}
}

func TestFilesConform(t *testing.T) {
	for name, file := range takes(20_000) {
		t.Run(name, func(t *testing.T) {
			path := writeFile(t, "a.wav", file)
			audiotest.Conform(t, func(t *testing.T) audio.Source { return openPath(t, path, audio.Options{}) })
		})
	}
	t.Run("FLAC", func(t *testing.T) {
		path := flacOf(t, tones(20_000, 2, 16, 1), 2, 16, 48000)
		audiotest.Conform(t, func(t *testing.T) audio.Source { return openPath(t, path, audio.Options{Channel: 2}) })
	})
}

// TestReadersConform reads streams that come in pieces.
func TestReadersConform(t *testing.T) {
	readers := map[string]struct {
		n    int // frames
		wrap func(io.Reader) io.Reader
	}{
		"whole":         {10_000, func(r io.Reader) io.Reader { return r }},
		"half":          {10_000, iotest.HalfReader},
		"bytes":         {200, iotest.OneByteReader},
		"end with data": {10_000, iotest.DataErrReader},
	}
	for pieces, reader := range readers {
		for name, file := range takes(reader.n) {
			t.Run(pieces+"/"+name, func(t *testing.T) {
				audiotest.Conform(t, func(t *testing.T) audio.Source {
					s, err := audio.NewReader(reader.wrap(bytes.NewReader(file)), audio.Options{})
					if err != nil {
						t.Fatal(err)
					}
					return s
				})
			})
		}
	}
}

// TestFailingReaderConforms: what was read before a failure is delivered.
func TestFailingReaderConforms(t *testing.T) {
	broken := errors.New("cable cut")
	f := formNamed("s16")
	x := sound(10_000, 1)
	file := riff(f.fmtChunk(1, 48000), sized("data", 1<<20, f.data(x)))
	open := func(t *testing.T) audio.Source {
		s, err := audio.NewReader(io.MultiReader(bytes.NewReader(file), failing{broken}), audio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	audiotest.Conform(t, open, audiotest.FailsWith(broken))
	s := open(t)
	defer s.Close()
	got, err := drain(s)
	checkError(t, err, "cannot be read: cable cut")
	if len(got) != len(x) {
		t.Errorf("%d samples came before the failure, want %d", len(got), len(x))
	}
}

// TestStalledPipeConforms: a pipe whose writer says nothing more, and does not
// go away either.
func TestStalledPipeConforms(t *testing.T) {
	const n = 9_999
	f := formNamed("s24")
	file := riff(f.fmtChunk(2, 48000), sized("data", 0, f.data(sound(n, 2))))[:44+n*6]
	pipe := func(t *testing.T) *os.File {
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		go w.Write(file)
		t.Cleanup(func() { w.Close(); r.Close() })
		return r
	}
	t.Run("reader", func(t *testing.T) {
		audiotest.Conform(t, func(t *testing.T) audio.Source {
			s, err := audio.NewReader(pipe(t), audio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			return s
		}, audiotest.Endless(n))
	})
}

// TestSamplesComeAtOnce: a live stream is not held back until a buffer is full.
func TestSamplesComeAtOnce(t *testing.T) {
	f := formNamed("s16")
	r, w := io.Pipe()
	defer w.Close()
	x := sound(100, 1)
	go w.Write(riff(f.fmtChunk(1, 48000), sized("data", 0, f.data(x[:10]))))
	s, err := audio.NewReader(r, audio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	dst := make([]float64, 1000)
	for sent := 10; sent <= len(x); sent += 10 {
		for got := 0; got < 10; {
			n, err := s.Read(ctx, dst)
			if err != nil {
				t.Fatalf("after %d samples sent: %v", sent, err)
			}
			got += n
		}
		if sent < len(x) {
			w.Write(f.data(x[sent : sent+10]))
		}
	}
}

// TestReaderStaysOpen: the stream belongs to the caller.
func TestReaderStaysOpen(t *testing.T) {
	f, err := os.Open(writeFile(t, "a.wav", takes(10_000)["s16"]))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := audio.NewReader(f, audio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	if _, err := f.Stat(); err != nil {
		t.Errorf("Close closed the caller's file: %v", err)
	}
}

// TestNothingStays: no goroutine outlives its source, read or not.
func TestNothingStays(t *testing.T) {
	path := writeFile(t, "a.wav", takes(10_000)["s16"])
	before := runtime.NumGoroutine()
	for i := range 50 {
		s, err := audio.Open(path, audio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if i%2 == 0 {
			all(t, s)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for range 200 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines, %d before", runtime.NumGoroutine(), before)
}

// TestLargeFile: memory does not grow with what a file holds, or claims to.
func TestLargeFile(t *testing.T) {
	f := formNamed("s16")
	for _, channels := range []int{1, 2, 32} {
		t.Run(fmt.Sprint(channels), func(t *testing.T) {
			frames := 16 << 20 / channels // 32 MB
			head := riff(chunk("LIST", make([]byte, 10)), f.fmtChunk(channels, 192000), sized("data", 0xF0000000, nil))
			s, err := audio.NewReader(io.MultiReader(bytes.NewReader(head), io.LimitReader(zeros{}, 32<<20)), audio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			if n := count(t, s); n != frames {
				t.Errorf("%d samples, want %d", n, frames)
			}
			runtime.ReadMemStats(&after)
			if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
				t.Errorf("reading 32 MB allocated %d bytes", used)
			}
		})
	}
}

// TestLargeFLAC: the decoder allocates for each frame, and none of it is kept.
func TestLargeFLAC(t *testing.T) {
	const frames, each = 20_000, 256
	constant := []byte{0x00, 0x40, 0x00} // a subframe of 0x4000
	frame := flacFrame(0, each, 1, slices.Concat(constant, constant))
	file := flacStream(2, 16, frames*each, [md5.Size]byte{}, bytes.Repeat(frame, frames))
	s := openBytes(t, file, audio.Options{})
	heap := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := heap()
	if n := count(t, s); n != frames*each {
		t.Errorf("%d samples, want %d", n, frames*each)
	}
	if after := heap(); after > before+1<<20 {
		t.Errorf("%d bytes are kept of %d samples", after-before, frames*each)
	}
	runtime.KeepAlive(s)
	runtime.KeepAlive(file)
}

// count reads s to its end and returns the number of its samples.
func count(t *testing.T, s audio.Source) (total int) {
	t.Helper()
	dst := make([]float64, 4096)
	for {
		n, err := s.Read(context.Background(), dst)
		total += n
		if err == io.EOF {
			return total
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }
