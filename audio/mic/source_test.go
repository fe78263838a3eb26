package mic

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"pluckweigh/audio"
)

func nothing() error { return nil }

// offline is a source whose device has sent in and is silent now.
func offline(t *testing.T, channels, channel int, in ...float32) *source {
	t.Helper()
	k := newIntake(channels, 1000)
	k.take(in, false)
	return newSource(k, 1000, channel, nothing)
}

func TestMix(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, c := range []struct {
		name              string
		channels, channel int
		in                []float32
		want              []float64
		flaws             []audio.Flaw
	}{
		{"mono", 1, 0, []float32{1, -2, 0.5}, []float64{1, -2, 0.5}, nil},
		{"mean", 2, 0, []float32{1, 3, -1, 0}, []float64{2, -0.5}, nil},
		{"first", 2, 1, []float32{1, 3, -1, 0}, []float64{1, -1}, nil},
		{"third", 3, 3, []float32{1, 2, 3, 4, 5, 6}, []float64{3, 6}, nil},
		{"beyond any scale", 2, 0, []float32{1, 3, math.MaxFloat32, 1, 1e30, inf, 1, 1 << 31}, []float64{2, 0, 0, 1<<30 + 0.5},
			[]audio.Flaw{{Kind: audio.TooLarge, At: 1, Len: 1}, {Kind: audio.NotFinite, At: 2, Len: 1}}},
		{"not finite", 1, 0, []float32{1, nan, inf, -inf, 2, nan}, []float64{1, 0, 0, 0, 2, 0},
			[]audio.Flaw{{Kind: audio.NotFinite, At: 1, Len: 3}, {Kind: audio.NotFinite, At: 5, Len: 1}}},
		{"not finite in one of two", 2, 0, []float32{1, nan, inf, -inf, 2, 2}, []float64{0, 0, 2},
			[]audio.Flaw{{Kind: audio.NotFinite, At: 0, Len: 2}}},
		{"not finite in the other one", 2, 1, []float32{1, nan}, []float64{1}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := offline(t, c.channels, c.channel, c.in...)
			dst := make([]float64, 10)
			n, err := s.Read(t.Context(), dst)
			if err != nil || !slices.Equal(dst[:n], c.want) || !slices.Equal(s.Flaws(), c.flaws) {
				t.Errorf("%v, %v, flaws %v", dst[:n], err, s.Flaws())
			}
		})
	}
}

// A balanced microphone in a socket for two channels.
func TestOppositePhase(t *testing.T) {
	var in []float32
	for i := range 1000 { // 1 s
		x := float32(math.Sin(float64(i)))
		in = append(in, x, -x)
	}
	for channel, want := range [][]audio.Flaw{{{Kind: audio.Cancelled, At: 0, Len: 300}}, nil, nil} {
		s := offline(t, 2, channel, in...)
		if n, err := s.Read(t.Context(), make([]float64, 350)); n != 350 || err != nil {
			t.Fatal(n, err)
		}
		if got := s.Flaws(); !slices.Equal(got, want) {
			t.Errorf("channel %d: flaws %v, want %v", channel, got, want)
		}
	}
}

// Flaws come in the order of their places, and not before these are delivered.
func TestFlawsByPlace(t *testing.T) {
	k := newIntake(1, 1000)
	s := newSource(k, 1000, 0, nothing)
	k.take([]float32{1, 2, float32(math.NaN()), 4, 5}, false)
	k.take([]float32{6, 7}, true)
	dst := make([]float64, 5)
	for _, step := range []struct {
		read int
		want []audio.Flaw
	}{
		{2, nil},
		{3, []audio.Flaw{{Kind: audio.NotFinite, At: 2, Len: 1}}},
		{1, []audio.Flaw{{Kind: audio.NotFinite, At: 2, Len: 1}, {Kind: audio.Overrun, At: 5}}},
	} {
		if n, err := s.Read(t.Context(), dst[:step.read]); n != step.read || err != nil {
			t.Fatal(n, err)
		}
		if got := s.Flaws(); !slices.Equal(got, step.want) {
			t.Errorf("flaws %v, want %v", got, step.want)
		}
	}
}

// The last samples of a device that died are delivered before the error, which
// then stays.
func TestDeath(t *testing.T) {
	s := offline(t, 1, 0, 1, 2, 3)
	dst := make([]float64, 2)
	for _, want := range []int{2, 1} {
		if n, err := s.Read(t.Context(), dst); n != want || err != nil {
			t.Fatal(n, err)
		}
	}
	for range 2 {
		if n, err := s.Read(t.Context(), dst); n != 0 || !errors.Is(err, ErrDied) {
			t.Errorf("%d, %v", n, err)
		}
	}
}

// A process that was itself stopped does not take the device for dead.
func TestWatch(t *testing.T) {
	s := offline(t, 1, 0)
	s.watch(0)
	s.watch(time.Hour)
	if s.quiet >= stall {
		t.Errorf("an hour's sleep counts as %v of silence", s.quiet)
	}
	for range int(stall/poll) - 1 {
		s.watch(poll)
	}
	if s.quiet < stall {
		t.Errorf("after %v of silence %v are counted", stall, s.quiet)
	}
	s.in.take(nil, false)
	if s.watch(poll); s.quiet != 0 {
		t.Errorf("after a callback %v are counted", s.quiet)
	}
}

func TestCloseWakesRead(t *testing.T) {
	s := offline(t, 1, 0)
	failed := errors.New("no")
	s.release = func() error { return failed }
	got := make(chan error)
	go func() {
		_, err := s.Read(context.Background(), make([]float64, 1))
		got <- err
	}()
	if err := s.Close(); err != failed {
		t.Errorf("Close: %v", err)
	}
	if err := <-got; !errors.Is(err, audio.ErrClosed) {
		t.Errorf("the waiting Read: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("the second Close: %v", err)
	}
}

func TestReadWithDeadline(t *testing.T) {
	s := offline(t, 1, 0)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	if n, err := s.Read(ctx, make([]float64, 1)); n != 0 || !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("%d, %v", n, err)
	}
	s.in.take([]float32{5}, false)
	dst := make([]float64, 2)
	if n, err := s.Read(t.Context(), dst); n != 1 || dst[0] != 5 || err != nil {
		t.Errorf("then %d, %v, %v", n, dst, err)
	}
}

func BenchmarkRead(b *testing.B) {
	k := newIntake(2, 48000)
	s := newSource(k, 48000, 0, nothing)
	in, dst := make([]float32, 2*1200), make([]float64, 1200)
	b.ReportAllocs()
	for b.Loop() {
		k.take(in, false)
		s.Read(context.Background(), dst)
	}
}
