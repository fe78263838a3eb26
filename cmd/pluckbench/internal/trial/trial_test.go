package trial

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"sync/atomic"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.9g, want %.9g ± %g", what, got, want, tol)
	}
}

func TestEach(t *testing.T) {
	for _, workers := range []int{0, 1, 3} {
		var told atomic.Int64
		o := Options{Workers: workers, Progress: func(_, total int) { told.Add(int64(total)) }}
		got, err := each(t.Context(), o, 50, func(i int) (int, error) { return i * i, nil })
		if err != nil || len(got) != 50 || got[7] != 49 || told.Load() != 50*50 {
			t.Errorf("%d workers: %v, %v, told %d", workers, got, err, told.Load())
		}
		bad := errors.New("bad")
		if _, err := each(t.Context(), o, 50, func(i int) (int, error) {
			if i == 20 {
				return 0, bad
			}
			return i, nil
		}); !errors.Is(err, bad) {
			t.Errorf("%d workers: %v, want the error of one", workers, err)
		}
	}
	over, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := each(over, Options{Workers: 1}, 5, func(int) (int, error) { return 0, nil }); !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want that it was cancelled", err)
	}
}

func TestFigures(t *testing.T) {
	v := []float64{3, -1, 2, 0}
	near(t, "median", float64(quantile(v, 0.5)), 2, 0) // by nearest rank
	near(t, "most", float64(quantile(v, 1)), 3, 0)
	near(t, "rms", float64(rms(v)), math.Sqrt(14./4), 1e-12)
	near(t, "mean", float64(mean(v)), 1, 1e-12)
	near(t, "share", float64(share(1, 8)), 12.5, 0)
	if v[0] != 3 {
		t.Error("quantile sorts what it is given")
	}
	for i, n := range []Number{quantile(nil, 0.5), rms(nil), rmsU(v[:1]), mean(nil), share(0, 0), missing} {
		if data, err := json.Marshal(n); string(data) != "null" || err != nil {
			t.Errorf("%d: %s, %v in JSON, want null", i, data, err)
		}
	}
	if data, _ := json.Marshal(Number(0.25)); string(data) != "0.25" {
		t.Errorf("%s in JSON", data)
	}
	// The RMS of n normal numbers scatters by 1/√(2n).
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, 5000)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	near(t, "rms of normal numbers", float64(rms(x)), 1, 0.04)
	near(t, "its uncertainty", float64(rmsU(x)), 0.01, 0.001)
	near(t, "median of their sizes", float64(quantile(abs(x), 0.5)), normalMedian, 0.03)
}

func TestBands(t *testing.T) {
	for _, c := range []struct {
		f0   float64
		want int
	}{{20, 0}, {45.9, 0}, {46, 1}, {100, 2}, {200, 3}, {660, 4}, {2000, 4}} {
		if got := band(c.f0); got != c.want {
			t.Errorf("%g Hz lies in band %d, want %d", c.f0, got, c.want)
		}
	}
	for _, c := range []struct {
		db, lo float64
		want   bool
	}{{9.99, 10, true}, {14.9, 10, true}, {15, 10, false}, {15, 15, true}, {40.1, 35, true}, {40.1, 30, false}, {math.NaN(), 10, false}, {math.NaN(), 35, false}} {
		if got := inSNR(c.db, c.lo); got != c.want {
			t.Errorf("%g dB in the step from %g: %v", c.db, c.lo, got)
		}
	}
}

// read is a case of f0 = 100 Hz, B = 1e-4 read with an error.
func read(cents, u float64, b, ub float64) heard {
	f := 100 * math.Exp2(cents/1200)
	return heard{
		truth: synth.Truth{F0: 100, B: 1e-4},
		take: detect.Take{Reading: &detect.Reading{F0: detect.Value{V: f, U: u}, B: detect.Value{V: b, U: ub},
			BKnown: true}},
	}
}

func TestTally(t *testing.T) {
	refused := heard{truth: synth.Truth{F0: 100}}
	unknown := read(0, 1, 0, 1)
	unknown.take.Reading.BKnown = false
	all := []heard{
		read(0.1, 0.01, 1e-4, 1e-6),      // within u of both: 0.1 cent are 0.0058 Hz
		read(-0.3, 0.01, 1.015e-4, 1e-6), // within 2u of both
		read(1200, 0.01, 2e-4, 1e-6),     // wrong
		refused, unknown,
	}
	got := tally("x", all, func(heard) bool { return true })
	want := Tally{Name: "x", Takes: 5, Wrong: 1, Refused: 1, Median: got.Median, P95: got.P95, Max: got.Max,
		WithinU: 50, Within2U: 75, BTakes: 3, BWithinU: got.BWithinU, BWithin2U: got.BWithin2U}
	if got != want {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	near(t, "most", float64(got.Max), 1200, 1e-9)
	near(t, "median", float64(got.Median), 0.3, 1e-9)
	near(t, "B within u", float64(got.BWithinU), 100./3, 1e-9)
	near(t, "B within 2u", float64(got.BWithin2U), 200./3, 1e-9)
	if none := tally("x", all, func(heard) bool { return false }); none.Takes != 0 || !math.IsNaN(float64(none.P95)) {
		t.Errorf("of no takes: %+v", none)
	}
	if f0, b := all[1].distance(); !beyond(f0, b, 1.4) || beyond(f0, b, 2) || beyond(math.NaN(), math.NaN(), 0) {
		t.Errorf("distances %g, %g", f0, b)
	}
}

// TestSignal: what the bound is computed of is what sounds.
func TestSignal(t *testing.T) {
	for i := range uint64(5) {
		c := detecttest.Clean(detecttest.Tuning, i)
		_, truth, err := c.Take.Render()
		if err != nil {
			t.Fatal(err)
		}
		quiet := c
		quiet.Take.Noise = nil
		x, _, err := quiet.Take.Render()
		if err != nil {
			t.Fatal(err)
		}
		s := signal(heard{Case: c, truth: truth})
		at, rate := truth.Plucks[0].At, c.Take.Rate
		for _, k := range []int{int(math.Ceil(at * rate)), int((at + 0.01) * rate), int(rate), len(x) - 1} {
			tm, want := float64(k)/rate-at, 0.0
			if tm < 0 {
				tm = 0
			}
			for _, p := range s.Partials {
				n := float64(p.N)
				want += p.Amp * math.Exp(-p.Decay*tm) * math.Cos(2*math.Pi*n*s.F0*math.Sqrt(1+s.B*n*n)*tm+p.Phase)
			}
			near(t, c.String(), x[k], want, 1e-8)
		}
		if s.Sigma != truth.Sigma || s.Rate != rate || s.Glide != 0 {
			t.Errorf("%v: %+v", c, s)
		}
	}
}

func TestBound(t *testing.T) {
	e, err := Bound(t.Context(), Options{Stream: detecttest.Tuning, Takes: 4, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	sum := func(rs []Ratio) (n int) {
		for _, r := range rs {
			n += r.Takes
		}
		return n
	}
	read := 4 - len(e.Wrong) - len(e.Refused)
	if e.All.Takes != read || sum(e.BySNR) != read || sum(e.Bands) != read {
		t.Errorf("%d read, %d in all, %d by ratio, %d by band", read, e.All.Takes, sum(e.BySNR), sum(e.Bands))
	}
	// An unknown glide and a shorter window make the bound larger.
	if a := e.All; !(a.F0 > 0) || a.F0Gliding > a.F0 || a.F0Window > a.F0 || a.BWindow > a.B || a.BGliding > a.B*1.000001 {
		t.Errorf("%+v", a)
	}
}

func TestSpread(t *testing.T) {
	for name, try := range map[string]func(context.Context, Options) (Spread, error){"hard": Hard, "rest": Rest} {
		s, err := try(t.Context(), Options{Stream: detecttest.Tuning, Takes: 6, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, b := range s.Bands {
			n += b.Takes
		}
		if s.All.Takes != 6 || n != 6 || len(s.Refused) != s.All.Refused || len(s.Wrong) != s.All.Wrong {
			t.Errorf("%s: %+v", name, s)
		}
	}
	if got := slices.SortedFunc(slices.Values([]string{"hum", "192 kHz", "glide", "22.05 kHz"}), byNumber); !slices.Equal(got, []string{"glide", "hum", "22.05 kHz", "192 kHz"}) {
		t.Errorf("sorted %q", got)
	}
}
