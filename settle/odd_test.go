package settle

import (
	"math"
	"math/rand/v2"
	"testing"
)

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
