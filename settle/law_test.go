package settle

import (
	"math"
	"math/rand/v2"
	"testing"
)

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
