package detect_test

import (
	"math"
	"slices"
	"sync"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// clipped is a plain take of a bass string with a clip of a share of its mass.
func clipped(ratio, at float64) synth.Take {
	tk := bass()
	tk.MaxPartials = 60
	tk.String.Clip = synth.Clip{Mass: ratio * tk.String.UnitWeight * tk.String.Length, At: at}
	return tk
}

func loaded(t *testing.T, x []float64, m detect.Mass) detect.Take {
	t.Helper()
	take, err := detect.AnalyzeLoaded(x, rate, m, detect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return take
}

// wantRatio asks for a trusted ratio, right within 2u and within a share of itself.
func wantRatio(t *testing.T, what any, take detect.Take, ratio, within float64) {
	t.Helper()
	if take.Reading == nil {
		t.Errorf("%v: refused, %v", what, codes(take))
		return
	}
	got := take.Reading.Load.Ratio
	if off := math.Abs(got.V - ratio); off > 2*got.U || off > within*ratio {
		t.Errorf("%v: ratio %.6f ± %.6f, want %.6f", what, got.V, got.U, ratio)
	}
}

// TestLoadedTakes asks that one pluck of a string with a clip tells the clip's share
// of the mass within half a per cent, and its uncertainty rightly. PLUCKWEIGH_TAKES
// sets how many takes are drawn; the statistics are logged (go test -v).
func TestLoadedTakes(t *testing.T) {
	count := wantedTakes(t, 8)
	type result struct {
		desc    string
		heard   bool
		off, u  float64 // of the ratio, relative
		offF    float64 // of f0, in its standard uncertainty
		refusal []detect.Code
	}
	results := make([]result, count)
	var wg sync.WaitGroup
	for w := range 2 {
		wg.Go(func() {
			for i := w; i < count; i += 2 {
				c := detecttest.Loaded(detecttest.Tuning, uint64(i))
				x, truth, err := c.Take.Render()
				if err != nil {
					t.Error(err)
					return
				}
				take, err := detect.AnalyzeLoaded(x, c.Take.Rate, detect.Mass{}, detect.Options{})
				if err != nil {
					t.Error(err)
					return
				}
				r := result{desc: c.String(), refusal: codes(take)}
				if rd := take.Reading; rd != nil {
					s := c.Take.String
					ratio := s.Clip.Mass / (s.UnitWeight * s.Length)
					r.heard = true
					r.off, r.u = rd.Load.Ratio.V/ratio-1, rd.Load.Ratio.U/ratio
					r.offF = (rd.F0.V - truth.F0) / rd.F0.U
				}
				results[i] = r
			}
		})
	}
	wg.Wait()
	var refused, in2, inF int
	var off, us []float64
	for _, r := range results {
		if !r.heard {
			refused++
			t.Logf("refused %s: %v", r.desc, r.refusal)
			continue
		}
		a := math.Abs(r.off)
		off, us = append(off, a), append(us, r.u)
		if a > 0.02 && a > 3*r.u {
			t.Errorf("off by %.2f %%, u %.2f %%: %s", 100*r.off, 100*r.u, r.desc)
		}
		if a < 2*r.u {
			in2++
		}
		if math.Abs(r.offF) < 2 {
			inF++
		}
	}
	if len(off) == 0 {
		t.Fatal("nothing was heard")
	}
	n, p95 := float64(len(off)), quantile(off, 0.95)
	t.Logf("%d takes, %d refused; ratio off by %.4f %% in the median, %.3f %% at 95 %%, u %.4f %% in the median; within 2u %.1f %%, f0 %.1f %%",
		count, refused, 100*quantile(off, 0.5), 100*p95, 100*quantile(us, 0.5), 100*float64(in2)/n, 100*float64(inF)/n)
	if p95 > 0.005 {
		t.Errorf("95 %% within %.2f %%, want 0.5", 100*p95)
	}
	if in2*100 < 88*len(off) { // 94 % of few takes
		t.Errorf("%d of %d within 2u", in2, len(off))
	}
	if refused*100 > 4*count {
		t.Errorf("%d of %d takes refused", refused, count)
	}
}

// Light and heavy clips, off the middle, place given or not.
func TestLoadedByPlaceAndMass(t *testing.T) {
	for _, c := range []struct {
		ratio, at float64
		m         detect.Mass
	}{
		{0.01, 0.5, detect.Mass{}},
		{0.05, 0.512, detect.Mass{}},
		{0.05, 0.48, detect.Mass{Off: detect.Value{V: 0.02, U: 0.001}}},
		{0.08, 0.34, detect.Mass{Off: detect.Value{V: 0.16, U: 0.001}}},
		{0.3, 0.498, detect.Mass{}},
	} {
		take := loaded(t, render(t, clipped(c.ratio, c.at)), c.m)
		wantRatio(t, c, take, c.ratio, 0.002)
		if r := take.Reading; r != nil && c.at != 0.5 {
			if off := math.Abs(c.at - 0.5); math.Abs(r.Load.Off.V-off) > max(3*r.Load.Off.U, 2e-4) {
				t.Errorf("%v: %.5f ± %.5f off the middle", c, r.Load.Off.V, r.Load.Off.U)
			}
		}
	}
	wrong := loaded(t, render(t, clipped(0.05, 0.48)), detect.Mass{Off: detect.Value{V: 0.005, U: 0.0005}})
	if wrong.Reading != nil || !slices.Contains(codes(wrong), detect.Misplaced) {
		t.Errorf("a place given wrongly is believed: %+v, %v", wrong.Reading, codes(wrong))
	}
}

// A take of the bare string helps where even partials are not heard, and is held
// against the loaded one.
func TestLoadedAndBare(t *testing.T) {
	bare := analyze(t, render(t, bass()), detect.Options{}).Reading
	if bare == nil {
		t.Fatal("the bare string is not heard")
	}
	tk := clipped(0.05, 0.5)
	wantRatio(t, "both", loaded(t, render(t, tk), detect.Mass{Bare: bare}), 0.05, 0.001)
	for n := 2; n <= 60; n += 2 {
		tk.Omit = append(tk.Omit, n)
	}
	x := render(t, tk)
	wantRatio(t, "odd partials and the bare string", loaded(t, x, detect.Mass{Bare: bare}), 0.05, 0.02)
	alone := loaded(t, x, detect.Mass{})
	if alone.Reading != nil {
		wantRatio(t, "odd partials alone", alone, 0.05, 0.05)
		if !slices.Contains(codes(alone), detect.HalfHeard) {
			t.Errorf("odd partials alone: doubts %v", codes(alone))
		}
	}
	sharp := *bare
	sharp.F0.V *= 1.006 // 10 cents
	take := loaded(t, render(t, clipped(0.05, 0.5)), detect.Mass{Bare: &sharp})
	if take.Reading != nil || !slices.Contains(codes(take), detect.Scatter) {
		t.Errorf("retuned between the takes: %v", codes(take))
	}
}

// A clip that does nothing, a string without, and two strings give no number.
func TestLoadedRefused(t *testing.T) {
	neighbour := clipped(0.05, 0.5)
	neighbour.Neighbors = []synth.Neighbor{{String: synth.FromPitch(73.5, 7e-5), Pluck: neighbour.Plucks[0], Level: -3}}
	even := clipped(0.05, 0.5)
	for n := 1; n <= 60; n += 2 {
		even.Omit = append(even.Omit, n)
	}
	for _, c := range []struct {
		what string
		x    []float64
		want []detect.Code
	}{
		{"no clip", render(t, bass()), []detect.Code{detect.NoShift}},
		{"a clip of next to nothing", render(t, clipped(0.003, 0.5)), []detect.Code{detect.NoShift}},
		{"even partials alone", render(t, even), []detect.Code{detect.NoShift, detect.TooQuiet}},
		{"two strings", render(t, neighbour), []detect.Code{detect.TwoStrings}},
		{"two clips", append(render(t, clipped(0.05, 0.5)), render(t, clipped(0.06, 0.5))...), []detect.Code{detect.Scatter}},
		{"silence", make([]float64, 2*rate), []detect.Code{detect.NothingHeard}},
	} {
		take := loaded(t, c.x, detect.Mass{})
		if take.Reading != nil {
			t.Errorf("%s: ratio %+v", c.what, *take.Reading.Load)
		}
		if !slices.ContainsFunc(codes(take), func(d detect.Code) bool { return slices.Contains(c.want, d) }) {
			t.Errorf("%s: doubts %v, want one of %v", c.what, codes(take), c.want)
		}
	}
}

// Recorded notes of bare strings, with all that real ones do, are none with a clip.
func TestRealNotesCarryNoClip(t *testing.T) {
	notes, err := detecttest.Notes()
	detecttest.Need(t, err)
	for i := 0; i < len(notes); i += 15 {
		n := notes[i]
		take, err := detect.AnalyzeLoaded(n.Samples, n.Rate, detect.Mass{}, detect.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if take.Reading != nil {
			t.Errorf("%s: clip of %+v", n.Name, take.Reading.Load)
		}
	}
}

// BenchmarkAnalyzeLoaded measures one pluck of a bass string with a clip.
func BenchmarkAnalyzeLoaded(b *testing.B) {
	x, _, err := clipped(0.05, 0.5).Render()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if take, err := detect.AnalyzeLoaded(x, rate, detect.Mass{}, detect.Options{}); err != nil || take.Reading == nil {
			b.Fatal(err, take.Plucks)
		}
	}
	b.ReportMetric(3*float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
}

func TestMassThatCannotBe(t *testing.T) {
	nan := math.NaN()
	for _, m := range []detect.Mass{
		{Off: detect.Value{V: -0.1}}, {Off: detect.Value{V: 0.5}}, {Off: detect.Value{V: nan}}, {Off: detect.Value{U: nan}},
		{Bare: &detect.Reading{}}, {Bare: &detect.Reading{F0: detect.Value{V: nan}}},
	} {
		if take, err := detect.AnalyzeLoaded(make([]float64, rate), rate, m, detect.Options{}); err == nil {
			t.Errorf("%+v is taken: %+v", m, take)
		}
	}
}
