//go:build cgo && !nomic

package mic

import (
	"context"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/audiotest"
	"pluckweigh/audio/mic/soundrig"
)

// sound is frames of noise, all samples different, so that any slip shows.
func sound(frames, channels int) []float32 {
	r := rand.New(rand.NewPCG(7, 11))
	x := make([]float32, frames*channels)
	for i := range x {
		x[i] = r.Float32()*2 - 1
	}
	return x
}

// hear opens the device and reads n samples.
func hear(t *testing.T, o Options, n int) (audio.Source, []float64) {
	t.Helper()
	src, err := Open(t.Context(), o)
	if err != nil {
		t.Fatalf("Open: %v", err)
	}
	t.Cleanup(func() { src.Close() })
	return src, read(t, src, n)
}

func read(t *testing.T, src audio.Source, n int) []float64 {
	t.Helper()
	x := make([]float64, n)
	for got := 0; got < n; {
		k, err := src.Read(t.Context(), x[got:])
		if err != nil {
			t.Fatalf("Read after %d samples: %v", got, err)
		}
		got += k
	}
	return x
}

func same(t *testing.T, got []float64, want func(i int) float64) {
	t.Helper()
	bad := 0
	for i, x := range got {
		if x != want(i) {
			if bad++; bad == 1 {
				t.Errorf("sample %d is %g, played was %g", i, x, want(i))
			}
		}
	}
	if bad > 0 {
		t.Errorf("%d of %d samples differ", bad, len(got))
	}
}

func TestCaptureIsExact(t *testing.T) {
	for _, rate := range []int{48000, 44100, 96000} {
		x := sound(48000, 1)
		soundrig.Start(t, soundrig.Options{Play: x, Rate: rate}).Setenv()
		src, got := hear(t, Options{}, len(x))
		if src.Rate() != float64(rate) {
			t.Errorf("the native rate is %g Hz, the server runs at %d", src.Rate(), rate)
		}
		same(t, got, func(i int) float64 { return float64(x[i]) })
		if f := src.Flaws(); len(f) > 0 {
			t.Errorf("flaws in a perfect capture: %v", f)
		}
		if err := src.Close(); err != nil {
			t.Error(err)
		}
	}
}

func TestChannels(t *testing.T) {
	const frames = 12000
	x := sound(frames, 2)
	soundrig.Start(t, soundrig.Options{Play: x, Channels: 2}).Setenv()
	left := func(i int) float64 { return float64(x[2*i]) }
	right := func(i int) float64 { return float64(x[2*i+1]) }
	for channel, want := range []func(int) float64{
		func(i int) float64 { return (left(i) + right(i)) / 2 }, left, right,
	} {
		src, got := hear(t, Options{Channel: channel}, frames)
		same(t, got, want)
		src.Close()
	}
	if _, err := Open(t.Context(), Options{Channel: 3}); !errors.Is(err, ErrNotOffered) {
		t.Errorf("the third of two channels: %v", err)
	}
}

func TestDevicesAndNames(t *testing.T) {
	x := sound(24000, 1)
	soundrig.Start(t, soundrig.Options{Play: x}).Setenv()
	devices, err := Devices(t.Context(), false)
	if err != nil {
		t.Fatal(err)
	}
	if len(devices) != 2 {
		t.Fatalf("%d devices, the rig has 2: %v", len(devices), devices)
	}
	for _, d := range devices {
		if d.HostAPI != "ALSA" || d.Channels != 1 || d.Rate != 48000 || d.IsDefault != (d.Name == soundrig.Default) {
			t.Errorf("listed as %+v", d)
		}
	}
	for _, name := range []string{soundrig.Second, "rig mic", "DEFAULT", "rig microphone (alsa)"} {
		src, got := hear(t, Options{Device: name}, len(x))
		same(t, got, func(i int) float64 { return float64(x[i]) })
		src.Close()
	}
	for _, name := range []string{"no such thing", "alsa"} {
		_, err := Open(t.Context(), Options{Device: name})
		var e *audio.Error
		if !errors.As(err, &e) || !errors.Is(err, ErrNoMatch) || !strings.Contains(e.Hint(), soundrig.Second) {
			t.Errorf("device %q: %v", name, err)
		}
	}
}

func TestRates(t *testing.T) {
	soundrig.Start(t, soundrig.Options{Unpaced: true}).Setenv()
	_, err := Open(t.Context(), Options{Rate: 900e3})
	var e *audio.Error
	if !errors.As(err, &e) || !errors.Is(err, ErrNotOffered) {
		t.Fatalf("900 kHz: %v", err)
	}
	for _, rate := range []string{"8000", "48000", "192000"} {
		if !strings.Contains(e.Hint(), rate) {
			t.Errorf("the hint lacks %s Hz: %s", rate, e.Hint())
		}
	}
	src, err := Open(t.Context(), Options{Rate: 96000})
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	if src.Rate() != 96000 {
		t.Errorf("asked for 96000 Hz, got %g", src.Rate())
	}
}

func TestCancelKeepsSamples(t *testing.T) {
	x := sound(48000, 1)
	soundrig.Start(t, soundrig.Options{Play: x}).Setenv()
	src, first := hear(t, Options{}, 10000)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if n, err := src.Read(ctx, make([]float64, 100)); n != 0 || !errors.Is(err, context.Canceled) {
		t.Errorf("Read with a cancelled context: %d, %v", n, err)
	}
	got := append(first, read(t, src, 38000)...)
	same(t, got, func(i int) float64 { return float64(x[i]) })

	ctx, cancel = context.WithCancel(t.Context())
	cancel()
	if _, err := Open(ctx, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("Open with a cancelled context: %v", err)
	}
}

func TestConform(t *testing.T) {
	soundrig.Start(t, soundrig.Options{Play: sound(48000, 1)}).Setenv()
	audiotest.Conform(t, func(t *testing.T) audio.Source {
		src, err := Open(t.Context(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		return src
	}, audiotest.Endless(3000))
}

// A reader that stays away loses samples, learns where, and how many.
func TestOverrun(t *testing.T) {
	const rate, held = 16000, 1 << 16 // of samples, in the ring: 4.1 s
	x := sound(8*rate, 1)
	soundrig.Start(t, soundrig.Options{Play: x, Rate: rate}).Setenv()
	src, err := Open(t.Context(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	time.Sleep(4600 * time.Millisecond)
	got := read(t, src, held+5000)
	flaws := src.Flaws()
	if len(flaws) != 1 || flaws[0].Kind != audio.Overrun || flaws[0].At != held || flaws[0].Len < rate/4 {
		t.Fatalf("flaws are %v", flaws)
	}
	same(t, got, func(i int) float64 {
		if int64(i) >= flaws[0].At {
			i += int(flaws[0].Len)
		}
		return float64(x[i])
	})
}
