package synth

import (
	"context"
	"errors"
	"io"
	"slices"
	"testing"
	"time"

	"pluckweigh/audio"
)

func readAll(t *testing.T, s audio.Source, size int) []float64 {
	t.Helper()
	var all []float64
	buf := make([]float64, size)
	for {
		n, err := s.Read(context.Background(), buf)
		all = append(all, buf[:n]...)
		if err == io.EOF {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

func TestSourceIsRender(t *testing.T) {
	k := take(guitarA())
	k.Noise = []Noise{{DB: 30}}
	want, truth := render(t, k)
	for _, size := range []int{1, 441, 100000} {
		s, err := k.Source()
		if err != nil {
			t.Fatal(err)
		}
		if s.Rate() != k.Rate || s.Truth().F1 != truth.F1 || len(s.Flaws()) != 0 {
			t.Errorf("rate %g, truth %+v, flaws %v", s.Rate(), s.Truth(), s.Flaws())
		}
		if got := readAll(t, s, size); !slices.Equal(got, want) {
			t.Errorf("read by %d, the source differs from the rendered take", size)
		}
	}
}

func TestPacedSource(t *testing.T) {
	k := take(guitarA())
	k.Seconds = 0.15
	want, _ := render(t, k)
	s, err := k.PacedSource()
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	got := readAll(t, s, 4096)
	// Not before its time is a promise, not a speed.
	if took := time.Since(start); took < 149*time.Millisecond {
		t.Errorf("0.15 s of sound were delivered in %v", took)
	}
	if !slices.Equal(got, want) {
		t.Error("the paced source differs from the rendered take")
	}
}

func TestPacedSourceIsInterrupted(t *testing.T) {
	k := take(guitarA())
	k.Rate, k.Seconds = 100, 100 // a sample takes 10 ms, 100 s to the end
	k.String = FromPitch(20, 0)
	s, err := k.PacedSource()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	buf := make([]float64, 8)
	if n, err := s.Read(ctx, buf); n == 0 || err != nil {
		t.Fatalf("first read: %d, %v", n, err)
	}
	cancel()
	if n, err := s.Read(ctx, buf); n != 0 || !errors.Is(err, context.Canceled) {
		t.Errorf("read after cancelling: %d, %v", n, err)
	}
	if n, err := s.Read(context.Background(), buf); n == 0 || err != nil {
		t.Errorf("read after a cancelled one: %d, %v", n, err)
	}
	done := make(chan error)
	go func() {
		for {
			if _, err := s.Read(context.Background(), buf); err != nil {
				done <- err
				return
			}
		}
	}()
	s.Close()
	if err := <-done; !errors.Is(err, audio.ErrClosed) {
		t.Errorf("a read that was closed says %v", err)
	}
}
