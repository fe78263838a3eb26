package trial

import (
	"context"
	"errors"
	"math"
	"os"
	"testing"
	"time"

	"pluckweigh/detect/detecttest"
)

func TestMatch(t *testing.T) {
	hz := func(cents float64) float64 { return 100 * math.Exp2(cents/1200) }
	sounds := []Sound{
		{sounding: 100, rest: hz(-5), f0: 30, snr: 12},
		{sounding: 100, rest: hz(-5), f0: 30, snr: 13},
		{sounding: 100, rest: hz(-5), f0: 100, snr: 38},
		{sounding: 100, rest: hz(-5), f0: 100, snr: math.NaN()},
	}
	heard := []float64{hz(3), hz(-4), hz(1200), 0}
	m := match(Listener{Name: "x"}, sounds, heard)
	if m.Wrong != 1 || m.Silent != 1 || m.Bands[0] != (Share{bandNames[0], 2, 0}) || m.Bands[2] != (Share{bandNames[2], 2, 1}) {
		t.Errorf("%+v", m)
	}
	near(t, "p95", float64(m.P95), 4, 1e-9)
	if len(m.BySNR) != 1 || m.BySNR[0].Sounds != 2 {
		t.Fatalf("%+v", m.BySNR)
	}
	near(t, "SNR", float64(m.BySNR[0].SNR), 12.5, 1e-9)
	near(t, "RMS", float64(m.BySNR[0].RMS), math.Sqrt(12.5), 1e-9)
	m = match(Listener{Name: "x", Rest: true}, sounds, heard)
	near(t, "p95 at rest", float64(m.P95), 8, 1e-9)
}

// TestCompete: every listener is asked for every sound, in a file that is there,
// and what it takes is added up.
func TestCompete(t *testing.T) {
	_, err := detecttest.Notes()
	detecttest.Need(t, err)
	asked := map[string]int{}
	perfect := func(name string, rest bool) Listener {
		return Listener{Name: name, Rest: rest, Hear: func(_ context.Context, sounds []Sound) ([]float64, time.Duration, error) {
			var hz []float64
			for _, s := range sounds {
				if _, err := os.Stat(s.Path); err != nil || len(s.Samples) == 0 || !(s.From < s.To && s.To < s.seconds) {
					t.Errorf("%s is asked for %+v, %v", name, s, err)
				}
				asked[name]++
				if rest {
					hz = append(hz, s.rest)
				} else {
					hz = append(hz, s.sounding)
				}
			}
			return hz, time.Second, nil
		}}
	}
	o := Options{Stream: detecttest.Tuning, Takes: 3, Workers: 1}
	c, err := Compete(t.Context(), o, []Listener{perfect("a", false), perfect("b", true)})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Sets) != 3 || asked["a"] != 9 || asked["b"] != 9 {
		t.Errorf("%d sets, asked %v", len(c.Sets), asked)
	}
	for _, s := range c.Sets {
		for _, m := range s.Results {
			if m.Wrong != 0 || m.Silent != 0 || m.P95 > 1e-9 || math.Abs(float64(m.Realtime-s.Seconds)) > 1e-9 {
				t.Errorf("%s: %+v", s.Set, m)
			}
		}
	}
	bad := errors.New("bad")
	for _, l := range []Listener{
		{Name: "fails", Hear: func(context.Context, []Sound) ([]float64, time.Duration, error) { return nil, 0, bad }},
		{Name: "is short", Hear: func(context.Context, []Sound) ([]float64, time.Duration, error) { return nil, 0, nil }},
	} {
		if _, err := Compete(t.Context(), o, []Listener{l}); err == nil || l.Name == "fails" && !errors.Is(err, bad) {
			t.Errorf("a listener that %s: %v", l.Name, err)
		}
	}
}

func TestFollow(t *testing.T) {
	ls, err := Follow(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range ls {
		if !(l.Realtime > 0) || l.Allocs < 0 || math.IsInf(float64(l.Allocs), 0) {
			t.Errorf("%+v", l)
		}
	}
}
