package detecttest

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio"
)

const wavRate = 44100

func writeWAV(t *testing.T, path string, x []float64) {
	t.Helper()
	w, err := audio.Create(path, wavRate)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(w.Write(x), w.Close()); err != nil {
		t.Fatal(err)
	}
}

// tones writes pure tones of one second each, one after the other.
func tones(t *testing.T, hz ...float64) string {
	t.Helper()
	var x []float64
	for _, f := range hz {
		for i := range wavRate {
			x = append(x, 0.5*math.Sin(2*math.Pi*f*float64(i)/wavRate))
		}
	}
	path := filepath.Join(t.TempDir(), "two words.wav") // blanks must get through
	writeWAV(t, path, x)
	return path
}

// The tolerances are the programs' own errors on a pure tone, rounded up: yinfft
// reads sharp by its coarse interpolation.
func TestRivalsOnTones(t *testing.T) {
	aubio := func(method string) func(string) (Track, error) {
		return func(p string) (Track, error) { return Aubio(t.Context(), method, 4096, p) }
	}
	for _, c := range []struct {
		name  string
		track func(string) (Track, error)
		cents float64
	}{
		{"yinfft", aubio("yinfft"), 8},
		{"yinfast", aubio("yinfast"), 0.1},
		{"yin", aubio("yin"), 0.1},
		{"mcomb", aubio("mcomb"), 0.1},
		{"praat", func(p string) (Track, error) { return Praat(t.Context(), p, 20, 1500) }, 0.05},
	} {
		t.Run(c.name, func(t *testing.T) {
			track, err := c.track(tones(t, 200, 300))
			Need(t, err)
			for _, w := range []struct{ from, to, hz float64 }{{0.2, 0.85, 200}, {1.15, 1.8, 300}} {
				hz, n := track.Median(w.from, w.to)
				off := 1200 * math.Log2(hz/w.hz)
				t.Logf("%.4f Hz from %d points, %+.3f cents", hz, n, off)
				if n < 10 || !(math.Abs(off) <= c.cents) {
					t.Errorf("%.3f Hz from %d points between %g and %g s, want %g", hz, n, w.from, w.to, w.hz)
				}
			}
			// The change lies half-way between the last of one tone and the first
			// of the other, if the times are the middles of the windows.
			var last, first float64
			for _, p := range track {
				if math.Abs(p.Hz-200) < 3 {
					last = p.Time
				}
				if math.Abs(p.Hz-300) < 3 && first == 0 {
					first = p.Time
				}
			}
			if mid := (first + last) / 2; math.Abs(mid-1) > 0.015 {
				t.Errorf("the tone changes at %.3f s, want 1 s", mid)
			}
		})
	}
}

func TestPraatAll(t *testing.T) {
	paths := []string{tones(t, 110), tones(t, 55)}
	ts, err := PraatAll(t.Context(), paths, 20, 1500)
	Need(t, err)
	for i, want := range []float64{110, 55} {
		if hz, n := ts[i].Median(0.2, 0.8); n == 0 || math.Abs(hz-want) > 0.01 {
			t.Errorf("file %d: %.3f Hz, want %g", i, hz, want)
		}
	}
	if ts, err := PraatAll(t.Context(), nil, 20, 1500); err != nil || len(ts) != 0 {
		t.Errorf("no files: %v, %v", ts, err)
	}
}

func TestRivalsHearNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "silence.wav")
	writeWAV(t, path, make([]float64, wavRate))
	a, err := Aubio(t.Context(), "yinfast", 4096, path)
	Need(t, err)
	p, err := Praat(t.Context(), path, 20, 1500)
	Need(t, err)
	if len(a) > 0 || len(p) > 0 {
		t.Errorf("pitch in silence: aubio %v, praat %v", a, p)
	}
}

func TestRivalErrors(t *testing.T) {
	long := tones(t, 110)
	short := filepath.Join(t.TempDir(), "short.wav")
	writeWAV(t, short, make([]float64, 100))
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	aubio := func(ctx context.Context, method string, buf int, p string) error {
		_, err := Aubio(ctx, method, buf, p)
		return err
	}
	praat := func(ctx context.Context, p string, floor, ceiling float64) error {
		_, err := Praat(ctx, p, floor, ceiling)
		return err
	}
	for _, c := range []struct {
		name string
		err  error
		want string
	}{
		{"aubio method", aubio(t.Context(), "bogus", 4096, long), "yinfft"},
		{"aubio window", aubio(t.Context(), "yin", 3000, long), "power of two"},
		{"aubio no window", aubio(t.Context(), "yin", 0, long), "power of two"},
		{"aubio no file", aubio(t.Context(), "yin", 4096, "/nowhere.wav"), "nowhere.wav"},
		{"aubio short", aubio(t.Context(), "yin", 4096, short), "too short"},
		{"aubio cancelled", aubio(cancelled, "yin", 4096, long), "canceled"},
		{"praat floor", praat(t.Context(), long, math.NaN(), 1500), "floor"},
		{"praat ceiling", praat(t.Context(), long, 20, 20), "floor"},
		{"praat no file", praat(t.Context(), "/nowhere.wav", 20, 1500), "nowhere.wav"},
		{"praat short", praat(t.Context(), short, 20, 1500), "minimum pitch"},
		{"praat line break", praat(t.Context(), "a\nb.wav", 20, 1500), "line break"},
		{"praat cancelled", praat(cancelled, long, 20, 1500), "canceled"},
	} {
		if errors.Is(c.err, ErrMissing) {
			Need(t, c.err)
		}
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("%s: %v, want an error with %q", c.name, c.err, c.want)
		}
	}
}

func TestOutputThatIsNone(t *testing.T) {
	for _, out := range []string{"", "0.0 1.0\n", "0.0 1.0\nnonsense\n", "0.0\n0.1\n"} {
		if tr, err := aubioTrack([]byte(out), "yinfft"); err == nil {
			t.Errorf("aubio %q: %v, want an error", out, tr)
		}
	}
	for _, out := range []string{"", "end\n", "file\n0.1 100\n", "0.1 100\nend\n", "file\n0.1 x\nend\n", "file\n0.1 NaN\nend\n", "file\nfile\nend\n"} {
		if ts, err := praatTracks([]byte(out), 1); err == nil {
			t.Errorf("praat %q: %v, want an error", out, ts)
		}
	}
}
