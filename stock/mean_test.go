package stock

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"pluckweigh/physics"
)

// independent are measurements of a route each.
func independent(of ...[2]float64) []Measurement {
	var all []Measurement
	for i, x := range of {
		all = append(all, Measurement{Property: UnitWeight, Value: x[0], U: x[1], Route: fmt.Sprint("laboratory ", i)})
	}
	return all
}

// Interlaboratory data with what was published of them: weighted mean, enlarged
// standard uncertainty, χ² where it is told, and Birge ratio.
func TestCombinePublished(t *testing.T) {
	for name, c := range map[string]struct {
		all                         []Measurement
		value, u, chiSquared, birge float64
		lastValue, lastU, lastBirge float64 // half a unit of the last digit published
	}{
		// The neutron's mean life in seconds, Particle Data Group, listing of 2016
		// (pdglive.lbl.gov, data block S017T): the seven used, 880.2 ± 1.0 "error includes
		// scale factor of 1.9", which is the Birge ratio. Their two uncertainties, of scatter
		// and of systematic effects, are added in quadrature.
		"neutron": {independent([2]float64{880.2, 1.2}, [2]float64{887.7, math.Hypot(1.2, 1.9)}, [2]float64{882.5, math.Hypot(1.4, 1.5)},
			[2]float64{880.7, math.Hypot(1.3, 1.2)}, [2]float64{878.5, math.Hypot(0.7, 0.3)}, [2]float64{889.2, math.Hypot(3.0, 3.8)},
			[2]float64{882.6, 2.7}), 880.2, 1.0, 0, 1.9, 0.05, 0.05, 0.05},
		// Eleven measurements of the constant of gravitation in 1e-11 m³/(kg s²), CODATA 2010
		// (Mohr, Taylor & Newell, Rev. Mod. Phys. 84 (2012) 1527, section XI, from memory): χ² =
		// 209.6 with ν = 10, Birge ratio 4.58.
		"gravitation": {independent([2]float64{6.67248, 0.00043}, [2]float64{6.6729, 0.0005}, [2]float64{6.67398, 0.00070},
			[2]float64{6.674255, 0.000092}, [2]float64{6.67559, 0.00027}, [2]float64{6.67422, 0.00098}, [2]float64{6.67387, 0.00027},
			[2]float64{6.67222, 0.00087}, [2]float64{6.67425, 0.00012}, [2]float64{6.67349, 0.00018}, [2]float64{6.67234, 0.00014}),
			6.67384, 0.00026, 209.6, 4.58, 0.00001, 0.00001, 0.005},
	} {
		m, a := Combine[physics.UnitWeight](c.all)
		near := func(what string, got, want, last float64) {
			if !(math.Abs(got-want) <= last) {
				t.Errorf("%s: %s %g, not %g", name, what, got, want)
			}
		}
		near("mean", float64(m.Value), c.value, c.lastValue)
		near("u", float64(m.U), c.u, c.lastU)
		near("Birge ratio", a.Birge, c.birge, c.lastBirge)
		if c.chiSquared > 0 {
			near("χ²", a.Between.ChiSquare, c.chiSquared, 0.002*c.chiSquared) // the data have been rounded
		}
		if !a.Disagree() || a.Between.Free != len(c.all)-1 || a.Within.Free != 0 {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

// Cases that can be worked out by hand.
func TestCombine(t *testing.T) {
	m := func(value, u float64, route string) Measurement {
		return Measurement{Property: UnitWeight, Value: value, U: u, Route: route}
	}
	twoTests := func(p float64) float64 { return 1 - (1-p)*(1-p) }
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
		"three, two alike": {[]Measurement{m(10, 1, "a"), m(10, 1, "a"), m(10, 1, "b")}, 10, math.Sqrt(0.5), 1, false},
		"many do not outweigh": {[]Measurement{m(10, 2, "a"), m(10, 2, "a"), m(10, 2, "a"), m(11, 1, "b")}, 10.8, math.Sqrt(0.8),
			twoTests(math.Erfc(math.Sqrt(0.2 / 2))), false},
		"routes apart": {[]Measurement{m(10, 1, "a"), m(10, 1, "a"), m(20, 1, "b")}, 15, math.Sqrt(0.5) * math.Sqrt(50), twoTests(math.Erfc(5)), true},
		"very small":   {[]Measurement{m(1e-9, 1e-10, "a"), m(1e-9, 1e-10, "b")}, 1e-9, 1e-10 * math.Sqrt(0.5), 1, false},
		"no overflow":  {[]Measurement{m(1e-300, 1e-301, "a"), m(1e-300, 1e-301, "b")}, 1e-300, 1e-301 * math.Sqrt(0.5), 1, false},
	} {
		got, a := Combine[physics.UnitWeight](c.all)
		near := func(x, want float64) bool { return math.Abs(x-want) <= 1e-9*math.Abs(want) }
		if !near(float64(got.Value), c.value) || !near(float64(got.U), c.u) || !near(a.P, c.p) || a.Disagree() != c.disagree || a.N != len(c.all) {
			t.Errorf("%s: %g ± %g, %+v", name, got.Value, got.U, a)
		}
	}
	// Two alike of 4 degrees of freedom each make 8 (JCGM 100:2008, G.4.1).
	x, y := m(10, 1, "a"), m(10, 1, "b")
	x.DoF, y.DoF = 4, 4
	if got, _ := Combine[physics.UnitWeight]([]Measurement{x, y}); math.Abs(got.DoF-8) > 1e-12 {
		t.Errorf("%g degrees of freedom", got.DoF)
	}
}

// The mean, its uncertainty and both χ² by another road: the mean is where a sum of
// squares is least, found by halving; the uncertainty is that of the mean as a function
// of what each route is off by, moved one by one.
func TestCombineTheSlowWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := math.Pow(10, rapid.Float64Range(-9, 3).Draw(t, "scale"))
		var all []Measurement
		for range rapid.IntRange(2, 8).Draw(t, "n") {
			all = append(all, Measurement{Property: UnitWeight, Value: scale * rapid.Float64Range(0.9, 1.1).Draw(t, "value"),
				U: scale * rapid.Float64Range(0.01, 0.1).Draw(t, "u"), Route: rapid.SampledFrom([]string{"a", "b", "c", "d"}).Draw(t, "route")})
		}
		got, a := Combine[physics.UnitWeight](all)
		value, chi := slowMean(all)
		near := func(what string, x, want, within float64) {
			if !(math.Abs(x-want) <= within) {
				t.Errorf("%s: %g, not %g", what, x, want)
			}
		}
		near("mean", float64(got.Value), value, 1e-6*scale)
		near("χ²", a.Within.ChiSquare+a.Between.ChiSquare, chi, 1e-4*max(1, chi))
		var variance float64
		moved := map[string]bool{}
		for _, m := range all {
			if moved[m.Route] {
				continue
			}
			moved[m.Route] = true
			var off []Measurement
			for _, o := range all {
				if o.Route == m.Route {
					o.Value += o.U
				}
				off = append(off, o)
			}
			v, _ := slowMean(off)
			variance += (v - value) * (v - value)
		}
		near("u", float64(got.U)/a.Birge, math.Sqrt(variance), 1e-5*scale)
		if a.Within.Free+a.Between.Free != len(all)-1 || a.Between.Free != len(moved)-1 {
			t.Errorf("%+v of %d", a, len(all))
		}
	})
}

// slowMean is the mean of routes' means, and χ² of both.
func slowMean(all []Measurement) (value, chi float64) {
	least := func(values, us []float64) float64 {
		sum := func(m float64) (s float64) {
			for i := range values {
				s += (values[i] - m) / us[i] / us[i]
			}
			return s // falls with m, and is 0 where the squares are least
		}
		low, high := values[0], values[0]
		for _, v := range values {
			low, high = min(low, v), max(high, v)
		}
		for range 200 {
			if mid := (low + high) / 2; sum(mid) > 0 {
				low = mid
			} else {
				high = mid
			}
		}
		for i := range values {
			chi += math.Pow((values[i]-low)/us[i], 2)
		}
		return low
	}
	values, us := map[string][]float64{}, map[string][]float64{}
	for _, m := range all {
		values[m.Route], us[m.Route] = append(values[m.Route], m.Value), append(us[m.Route], m.U)
	}
	var means, off []float64
	for r, v := range values {
		m := least(v, us[r])
		// All of a route are off by their u together.
		var up []float64
		for i := range v {
			up = append(up, v[i]+us[r][i])
		}
		before := chi
		off = append(off, least(up, us[r])-m)
		chi = before
		means = append(means, m)
	}
	return least(means, off), chi
}
