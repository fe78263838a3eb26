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
