package stock

import (
	"math"
	"testing"

	"pluckweigh/physics"
)

// Eleven measurements of the constant of gravitation, those that CODATA 2010 rests on
// (Mohr, Taylor & Newell, Rev. Mod. Phys. 84 (2012) 1527, table XVII and section XI.A,
// from memory): in 1e-11 m³/(kg s²). It says χ² = 209.6 with ν = 10 and a Birge ratio of
// 4.58, taking two correlations into account (0.351 and 0.134) that are left out here.
func TestCombineGravitation(t *testing.T) {
	var all []Measurement
	for _, g := range []struct {
		route    string
		value, u float64
	}{
		{"torsion balance 1", 6.67248, 0.00043}, {"torsion balance 2", 6.6729, 0.0005}, {"torsion balance 3", 6.67398, 0.00070},
		{"torsion balance 4", 6.674255, 0.000092}, {"torsion balance 5", 6.67559, 0.00027}, {"pendulums 1", 6.67422, 0.00098},
		{"torsion balance 6", 6.67387, 0.00027}, {"torsion balance 7", 6.67222, 0.00087}, {"beam balance", 6.67425, 0.00012},
		{"torsion balance 8", 6.67349, 0.00018}, {"pendulums 2", 6.67234, 0.00014},
	} {
		all = append(all, Measurement{Property: UnitWeight, Value: g.value, U: g.u, Route: g.route})
	}
	m, a := Combine[physics.UnitWeight](all)
	if !a.Disagree() || math.Abs(a.ChiSquare-209.6) > 0.03*209.6 || math.Abs(a.Birge-4.58) > 0.015*4.58 {
		t.Errorf("χ² %.1f, Birge ratio %.3f, p %g", a.ChiSquare, a.Birge, a.P)
	}
	if !(m.Value > 6.6735 && m.Value < 6.6745) || !(m.U > 4.5*5e-5 && m.U < 4.7*7e-5) {
		t.Errorf("%v", m)
	}
}

// Cases that can be worked out by hand.
func TestCombine(t *testing.T) {
	m := func(value, u float64, route string) Measurement {
		return Measurement{Property: UnitWeight, Value: value, U: u, Route: route}
	}
	for name, c := range map[string]struct {
		all         []Measurement
		value, u, p float64
		disagree    bool
	}{
		"none":             {p: 1},
		"one":              {[]Measurement{m(10, 1, "a")}, 10, 1, 1, false},
		"two alike":        {[]Measurement{m(10, 1, "a"), m(10, 1, "b")}, 10, math.Sqrt(0.5), 1, false},
		"of one route":     {[]Measurement{m(10, 1, "a"), m(10, 1, "a")}, 10, 1, 1, false},
		"one worse":        {[]Measurement{m(10, 1, "a"), m(13, 2, "b")}, 10.6, math.Sqrt(0.8), math.Erfc(math.Sqrt(9.0 / 5 / 2)), false},
		"far apart":        {[]Measurement{m(10, 1, "a"), m(20, 1, "b")}, 15, math.Sqrt(0.5) * math.Sqrt(50), math.Erfc(5), true},
		"far, one route":   {[]Measurement{m(10, 1, "a"), m(20, 1, "a")}, 15, math.Sqrt(50), math.Erfc(5), true},
		"three, two alike": {[]Measurement{m(10, 1, "a"), m(10, 1, "a"), m(10, 1, "b")}, 10, math.Sqrt(5) / 3, 1, false},
		"very small":       {[]Measurement{m(1e-9, 1e-10, "a"), m(1e-9, 1e-10, "b")}, 1e-9, 1e-10 * math.Sqrt(0.5), 1, false},
	} {
		got, a := Combine[physics.UnitWeight](c.all)
		near := func(x, want float64) bool { return math.Abs(x-want) <= 1e-9*math.Abs(want) }
		if !near(float64(got.Value), c.value) || !near(float64(got.U), c.u) || !near(a.P, c.p) || a.Disagree() != c.disagree || a.N != len(c.all) {
			t.Errorf("%s: %g ± %g, %+v", name, got.Value, got.U, a)
		}
	}
}
