package settle

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pluckweigh/physics"
)

func must(t *testing.T, all []Reading, w *Warmth) *Course {
	t.Helper()
	c, err := Of(all, w)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func (c *Course) told(l Law) Told {
	for _, t := range c.Laws {
		if t.Law == l {
			return t
		}
	}
	return Told{}
}

// Beside scipy 1.10.1, curve_fit with absolute_sigma=True: times in minutes, cents, u of
// 0.05 cents. Its errors are those of known variances; ours reckon with Student's t of
// nine degrees of freedom, whose 97.5 % are at 2.262.
func TestBesideScipy(t *testing.T) {
	var all []Reading
	for i, y := range []float64{0.03, -1.92, -3.05, -3.71, -4.42, -4.83, -5.36, -5.63, -5.96, -6.31, -6.48, -6.79} {
		all = append(all, Reading{At: 300 * float64(i), Cents: y, U: 0.05})
	}
	c := must(t, all, nil)
	if c.Laws[0].Law != Logarithmic || c.Laws[0].Weight < 0.99 || c.Scatter > 0.02 {
		t.Errorf("likeliest is %+v, scatter %v", c.Laws[0], c.Scatter)
	}
	got := c.told(Logarithmic)
	for _, x := range []struct {
		what      string
		got       Estimate
		value, sd float64
	}{
		{"a", got.A, 0.02058912, 0.04870611},
		{"b", got.B, -2.68606938, 0.0556712},
		{"τ", got.Tau, 60 * 4.79779307, 60 * 0.28883083},
	} {
		if math.Abs(x.got.Value-x.value) > 0.15*x.sd || math.Abs(x.got.U/(x.sd*2.262/2)-1) > 0.1 {
			t.Errorf("%s is %+v, and scipy has %v ± %v", x.what, x.got, x.value, x.sd)
		}
	}
	// The scatter that a line takes is what scipy's residuals come to.
	f := newFitter(all, nil)
	if g := f.fit(Linear, 1, false); math.Abs(math.Hypot(g.scatter, 0.05)/0.7053121529508996-1) > 1e-3 {
		t.Errorf("a line takes a scatter of %v", g.scatter)
	}
}

// Prestressing wire relaxes by f/f0 = 1 − (lg t/h)/10 (f0/fy − 0.55): Magura, Sozen and
// Siess, PCI Journal, April 1964 (from memory). The pitch goes with the square root of
// the stress. From a minute to four days after stringing to 70 % of the yield stress,
// with noise of a tenth of a cent, the law found is the logarithm, it begins when the wire
// was strung, and each decade takes what the formula says.
func TestPublishedRelaxation(t *testing.T) {
	random := rand.New(rand.NewPCG(31, 32))
	var all []Reading
	for at := 60.0; at < 4*86400; at *= 1.12 {
		stress := 1 - math.Log10(1+at/3600)/10*(0.70-0.55) // 1 + t: finite at the beginning
		all = append(all, Reading{At: at, Cents: 600*math.Log2(stress) + 0.1*random.NormFloat64(), U: 0.05})
	}
	c := must(t, all, nil)
	got := c.told(Logarithmic)
	if c.Laws[0].Law != Logarithmic || len(c.Steps) > 0 || c.Wander != 0 {
		t.Errorf("likeliest is %v, %d steps, wander %v", c.Laws[0].Law, len(c.Steps), c.Wander)
	}
	decade := got.B.Value * math.Ln10
	if want := 600 * math.Log2(1-0.015); math.Abs(decade/want-1) > 0.03 {
		t.Errorf("%v cents a decade, not %v", decade, want)
	}
	if !got.TauTold || math.Abs(math.Log((got.Tau.Value)/3660)) > 0.1 {
		t.Errorf("τ is %+v, not 3660 s", got.Tau)
	}
}

// What a straight line through plucks every two minutes for an hour tells of the drift:
// u √(12/(N Δ²)) or so, 0.62 u an hour (k = 1). The goal of 0.05 cents an hour (k = 2) takes
// readings good to 0.04 cents; detect's are to 0.005 of a clean sound.
func TestDriftResolution(t *testing.T) {
	random := rand.New(rand.NewPCG(33, 34))
	const u, drift = 0.035, 0.12 / 3600
	var kept tally
	worst := 0.0
	for range 100 {
		all := series(random, 31, 3600, func(t float64) float64 { return -drift * t }, u, 0, 0)
		b := must(t, all, nil).told(Linear).B
		kept.add(b.holds(-drift))
		worst = max(worst, 2*b.U*3600)
	}
	if kept.share() < 0.92 {
		t.Errorf("within what is said in %d of %d", kept.so, kept.said)
	}
	all := series(random, 31, 3600, func(t float64) float64 { return -drift * t }, u, 0, 0)
	f := newFitter(all, nil)
	f.gather(&mixture{weight: ones(31)})
	s := solve(f.blocks, 1, Linear, 1, 0, f.shapes)
	if k2 := 2 * root(s.bb); k2 > 0.05 {
		t.Errorf("± %.3f cents an hour (k = 2)", k2)
	}
	t.Logf("u %v: ± %.3f cents an hour by its variance, at worst ± %.3f as said (k = 2)", u, 2*root(s.bb), worst)
}

// Creep of any shape is no step: not that of the laws, nor of others that are made to look
// like one.
func TestCreepIsNoStep(t *testing.T) {
	random := rand.New(rand.NewPCG(35, 36))
	all, wrong := 0, 0
	for _, x := range []struct {
		name  string
		pitch func(x float64) float64
	}{
		{"stretched exponential", func(x float64) float64 { return -15 * (1 - math.Exp(-math.Sqrt(8*x))) }},
		{"power", func(x float64) float64 { return -10 * math.Pow(x, 0.3) }},
		{"two exponentials", func(x float64) float64 { return 10*math.Exp(-20*x) + 8*math.Exp(-2*x) }},
		{"there and back", func(x float64) float64 { return 5 * math.Sin(5*x) }},
		{"a knee", func(x float64) float64 { return -20 * min(x, 0.4) }},
		{"a warm room", func(x float64) float64 { return -2 * math.Sin(40*x) }},
	} {
		for _, n := range []int{20, 31, 60, 60, 400, 400, 3000} {
			for _, noise := range []float64{0.003, 0.03, 0.3} {
				c := must(t, series(random, n, 7200, func(t float64) float64 { return x.pitch(t / 7200) }, noise, 0, 0.02), nil)
				all++
				if len(c.Steps) > 0 {
					wrong++
					t.Logf("%s, %d readings, noise %v: steps %+v", x.name, n, noise, c.Steps)
				}
			}
		}
	}
	if wrong > all/100 {
		t.Errorf("steps in %d of %d", wrong, all)
	}
}

// A pitch that none of the laws describes is said to wander, and more is allowed for.
func TestWander(t *testing.T) {
	random := rand.New(rand.NewPCG(37, 38))
	sway := func(t float64) float64 { return 0.5 * math.Sin(t/300) }
	c := must(t, series(random, 60, 7200, sway, 0.05, 0, 0), nil)
	still := must(t, series(random, 60, 7200, func(float64) float64 { return 0 }, 0.05, 0, 0), nil)
	if c.Wander < 0.5 || still.Wander != 0 {
		t.Errorf("wander is %v, and %v of none", c.Wander, still.Wander)
	}
	if c.At(7200).U < 5*still.At(7200).U {
		t.Errorf("u is %v, and %v without", c.At(7200).U, still.At(7200).U)
	}
}

// Readings that are something else are shown as such and move nothing; two at the end
// that lie off may be a step or not, and are not counted as either.
func TestOddReadings(t *testing.T) {
	random := rand.New(rand.NewPCG(39, 40))
	law := func(t float64) float64 { return 5 - 3*math.Log1p(t/500) }
	all := series(random, 40, 3600, law, 0.05, 0, 0)
	plain := must(t, all, nil)
	for i, by := range map[int]float64{3: 9, 11: -700, 12: -690, 25: 4} {
		all[i].Cents += by
	}
	c := must(t, all, nil)
	for i, r := range c.Readings {
		if want := i == 3 || i == 11 || i == 12 || i == 25; r.Odd() != want {
			t.Errorf("reading %d: weight %v", i, r.Weight)
		}
	}
	if len(c.Steps) > 0 || c.Laws[0].Law != Logarithmic {
		t.Errorf("steps %v, law %v", c.Steps, c.Laws[0].Law)
	}
	if d := c.At(3600).Value - plain.At(3600).Value; math.Abs(d) > 0.03 {
		t.Errorf("moved by %v", d)
	}
	for i := 38; i < 40; i++ {
		all[i].Cents += 5
	}
	if c := must(t, all, nil); len(c.Steps) > 0 || !c.Readings[38].Odd() || !c.Readings[39].Odd() {
		t.Errorf("two at the end: steps %v", c.Steps)
	}
	for i := 35; i < 38; i++ {
		all[i].Cents += 5
	}
	if c := must(t, all, nil); len(c.Steps) != 1 || c.Steps[0].Before != all[35].At {
		t.Errorf("five at the end: steps %v", c.Steps)
	}
}

// Warmth is taken out by the coefficient that was known, and the readings make that
// better; its uncertainty counts in what they cannot tell from drift.
func TestWarmth(t *testing.T) {
	random := rand.New(rand.NewPCG(41, 42))
	var inside, sharper tally
	for range 80 {
		truth := -2 + 0.3*random.NormFloat64()
		room := func(t float64) float64 { return 3 * math.Sin(t/900) }
		all := series(random, 40, 7200, func(t float64) float64 { return 4*math.Exp(-t/2500) + truth*room(t) }, 0.05, 0.05, 0.02)
		for i := range all {
			all[i].Warmer = 21 + room(all[i].At)
		}
		c := must(t, all, &Warmth{-2, 0.3})
		inside.add(c.Warmth.holds(truth))
		sharper.add(c.Warmth.U < 0.1)
		if len(c.Steps) > 0 || c.Wander > 0 {
			t.Errorf("steps %v, wander %v", c.Steps, c.Wander)
		}
		for _, r := range c.Readings {
			if at := c.At(r.At); !r.Odd() && math.Abs(r.Level-at.Value) > 0.4 || math.Abs(r.Law-at.Value) > 0.2 {
				t.Fatalf("at %v s the level is %v, by the law %v, and the course %v", r.At, r.Level, r.Law, at.Value)
			}
		}
	}
	if inside.share() < 0.9 || sharper.share() < 0.99 {
		t.Errorf("coefficient %+v of its 95 %%, sharper %+v", inside, sharper)
	}
	// A room that warms steadily: what is drift and what is warmth is known as well as
	// the coefficient beforehand.
	all := series(random, 40, 7200, func(t float64) float64 { return -2 * 3 * t / 7200 }, 0.02, 0, 0)
	for i := range all {
		all[i].Warmer = 3 * all[i].At / 7200
	}
	drift := must(t, all, &Warmth{-2, 0.3}).told(Linear).B
	if u := 3600 * drift.U; math.Abs(u-0.3*3/2) > 0.05 {
		t.Errorf("drift %v ± %v cents an hour, and 0.3 cents per kelvin make ± 0.45", 3600*drift.Value, u)
	}
	if fixed := must(t, all, &Warmth{-2, 0}); fixed.Warmth.U != 0 || math.Abs(3600*fixed.Drift(7200).Value) > 0.02 {
		t.Errorf("warmth %+v, drift %v", fixed.Warmth, fixed.Drift(7200))
	}
}

func TestBack(t *testing.T) {
	random := rand.New(rand.NewPCG(43, 44))
	var off, once tally
	for range 100 {
		dip, stays, tau := 5*random.Float64(), 0.5*random.NormFloat64(), 200+800*random.Float64()
		pitch := func(t float64) float64 {
			if t < 1000 {
				return 12
			}
			return 12 + stays - dip*math.Exp(-(t-1000)/tau)
		}
		all := series(random, 40, 4000, pitch, 0.03, 0.05, 0)
		r, err := Back(all, nil, 1000)
		if err != nil {
			t.Fatal(err)
		}
		off.add(r.Off.holds(pitch(4000) - 12))
		once.add(r.AtOnce.holds(pitch(r.After.Readings[0].At) - 12))
	}
	if off.share() < 0.9 || once.share() < 0.9 {
		t.Errorf("off %+v, at once %+v of their 95 %%", off, once)
	}
	var few *TooFewError
	if _, err := Back(series(random, 20, 4000, func(float64) float64 { return 0 }, 1, 0, 0), nil, 4000); !errors.As(err, &few) || few.N != 1 {
		t.Errorf("one reading after: %v", err)
	}
	// Three plucks, and three.
	r, err := Back([]Reading{{0, 1, 0.1, 0}, {5, 1.1, 0.1, 0}, {10, 0.95, 0.1, 0}, {60, -2, 0.1, 0}, {65, -1.9, 0.1, 0}, {70, -1.95, 0.1, 0}}, nil, 30)
	if err != nil || math.Abs(r.Off.Value+2.967) > 0.05 || r.Off.U < 0.08 || r.Off.U > 0.3 {
		t.Errorf("%+v %v", r.Off, err)
	}
}

func TestRefused(t *testing.T) {
	var few *TooFewError
	var input *physics.InputError
	for n := range Least {
		if _, err := Of(make([]Reading, 0, n), nil); !errors.As(err, &few) {
			t.Errorf("%d readings: %v", n, err)
		}
	}
	good := []Reading{{0, 1, 0.1, 0}, {1, 1, 0.1, 0}, {2, 1, 0.1, 0}}
	for name, spoil := range map[string]func([]Reading){
		"backwards": func(r []Reading) { r[2].At = 0.5 },
		"nan":       func(r []Reading) { r[1].Cents = math.NaN() },
		"infinite":  func(r []Reading) { r[1].At = math.Inf(1) },
		"no u":      func(r []Reading) { r[1].U = 0 },
		"no warmth": func(r []Reading) { r[1].Warmer = math.NaN() },
	} {
		bad := append([]Reading{}, good...)
		spoil(bad)
		if _, err := Of(bad, &Warmth{-1, 0.1}); !errors.As(err, &input) {
			t.Errorf("%s: %v", name, err)
		}
	}
	// Few readings do not make a pitch stay: whether it drifts is open.
	few3 := must(t, []Reading{{0, 1, 0.1, 0}, {60, 1.2, 0.1, 0}, {120, 1.1, 0.1, 0}}, nil)
	if f := few3.Foretell(1, 300); f.Verdict != CannotTell || few3.told(Linear).Weight < 0.05 || few3.Drift(120).U*3600 < 1 {
		t.Errorf("of three readings: %+v, drift %+v", f, few3.Drift(120))
	}
	// A line through five readings does not say that what creeps will not slow down.
	five := must(t, []Reading{{0, 9, 0.1, 0}, {60, 7, 0.1, 0}, {120, 5.2, 0.1, 0}, {180, 4, 0.1, 0}, {240, 3, 0.1, 0}}, nil)
	if f := five.Foretell(0.5, 300); !five.Straight || f.Verdict != CannotTell {
		t.Errorf("of five readings: %+v", f)
	}
	// All at one moment: nothing can be said of time.
	c := must(t, []Reading{{5, 1, 0.1, 0}, {5, 1.2, 0.1, 0}, {5, 1, 0.1, 0}, {5, 0.9, 0.1, 0}}, nil)
	if f := c.Foretell(1, 60); len(c.Laws) != 1 || !f.TooShort || f.Verdict != CannotTell || !math.IsNaN(c.Drift(5).U) {
		t.Errorf("%+v %+v", c.Laws, f)
	}
}

// No readings at all make it fail, and what it says are numbers.
func FuzzOf(f *testing.F) {
	f.Add(uint64(1), uint8(5), uint8(1))
	f.Add(uint64(7), uint8(40), uint8(9))
	f.Fuzz(func(t *testing.T, seed uint64, n, kind uint8) {
		random := rand.New(rand.NewPCG(seed, uint64(kind)))
		var all []Reading
		at := 0.0
		for range n {
			r := Reading{At: at, Cents: 100 * random.NormFloat64(), U: math.Exp(10*random.Float64() - 9), Warmer: random.NormFloat64()}
			if kind&1 > 0 {
				r.Cents = math.Round(r.Cents / 100) // few values
			}
			if kind&2 > 0 {
				r.Cents *= 1e9
			}
			if kind&4 == 0 || random.Float64() < 0.5 { // several at a time
				at += math.Exp(20*random.Float64() - 10)
			}
			if kind&8 > 0 {
				r.Cents, r.U = 3, 1e-6
			}
			all = append(all, r)
		}
		var w *Warmth
		if kind&16 > 0 {
			w = &Warmth{random.NormFloat64(), random.Float64()}
		}
		c, err := Of(all, w)
		if err != nil {
			if len(all) >= Least {
				t.Fatal(err)
			}
			return
		}
		end := all[len(all)-1].At
		numbers := []Estimate{c.At(end), c.At(end + 10)}
		if c.Span() > 0 {
			numbers = append(numbers, c.Drift(end))
		}
		for _, s := range c.Steps {
			numbers = append(numbers, s.Size)
		}
		sum := 0.0
		for _, l := range c.Laws {
			numbers = append(numbers, l.A, l.B, l.Tau)
			sum += l.Weight
		}
		for _, e := range numbers {
			for _, v := range []float64{e.Value, e.U, e.Low, e.High} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%+v", e)
				}
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("weights sum to %v", sum)
		}
		if f := c.Foretell(1, (end-all[0].At)/2); !f.TooShort && !(f.Holds >= 0 && f.Holds <= 1) {
			t.Fatalf("%+v", f)
		}
	})
}
