package physics

import (
	"math"
	"testing"
)

// Ten resistors of 1000 Ω, each with a standard uncertainty of 100 mΩ from the one
// standard that all were compared with: 10 kΩ in series with 1 Ω; independent, they
// would have 0.32 Ω (JCGM 100:2008, 5.2.2, example).
func TestTotalOfResistors(t *testing.T) {
	var list []Result[Force]
	for range 10 {
		list = append(list, Result[Force]{Measured: Stated[Force](1000, 0.1)})
	}
	for _, c := range []struct {
		common func(Term) bool
		want   float64
		terms  int
	}{
		{func(Term) bool { return true }, 1, 11},
		{func(Term) bool { return false }, 0.32, 10},
		{nil, 0.32, 10},
	} {
		r := must(Total(list, c.common))
		if r.Value != 10e3 || math.Abs(float64(r.U)-c.want) > 0.005 || len(r.Budget) != c.terms {
			t.Errorf("%v ± %v of %d terms, want 10000 ± %v", r.Value, r.U, len(r.Budget), c.want)
		}
	}
}

// Three strings measured with one rule and one clock, each of its own stated weight.
func TestTotalOfSet(t *testing.T) {
	var list []Result[Force]
	sum, own, rule, clock := 0.0, 0.0, 0.0, 0.0
	for i, mu := range []float64{4e-4, 7e-4, 1.4e-3} {
		f := 330 / math.Pow(4.0/3, float64(i))
		p := must(Stretch{Length: Stated[Length](0.648, 1e-3), F0: Stated(Frequency(f), Frequency(f*1e-4)),
			Clock: Relative{U: 58e-6}, Ends: EndsPinned}.Tension(Stated(UnitWeight(mu), UnitWeight(mu*0.004))))
		list = append(list, p)
		v := float64(p.Value)
		sum += v
		own += math.Pow(v*math.Hypot(0.004, 2e-4), 2)
		rule += v * 2 * 1e-3 / 0.648
		clock += v * 2 * 58e-6
	}
	want := math.Sqrt(own + rule*rule + clock*clock)
	got := must(Total(list, OneBench))
	if math.Abs(float64(got.Value)/sum-1) > 1e-12 || math.Abs(float64(got.U)/want-1) > 1e-9 {
		t.Errorf("%v ± %v, want %v ± %v", got.Value, got.U, sum, want)
	}
	if !has(got.Budget, "speaking length", false) || !has(got.Budget, "string 3", false) || len(got.Budget) != 5 {
		t.Errorf("budget %+v", got.Budget)
	}
	// What is off alike but the other way cancels.
	up := Result[Force]{Measured: Stated[Force](100, 1), Budget: Budget{{Input: "tilt", U: 1, Sensitivity: 1}}}
	down := Result[Force]{Measured: Stated[Force](100, 1), Budget: Budget{{Input: "tilt", U: 1, Sensitivity: -1}}}
	if r := must(Total([]Result[Force]{up, down}, func(Term) bool { return true })); r.U > 1e-9 {
		t.Errorf("opposite errors make %v", r.U)
	}
	down.Budget[0].Sensitivity = -3
	if r := must(Total([]Result[Force]{up, down}, func(Term) bool { return true })); math.Abs(float64(r.U)-2) > 1e-12 {
		t.Errorf("1 − 3 makes %v", r.U)
	}
}

// A rule that is off takes itself out of a spread as far as both strings are alike; what
// each has of its own adds (JCGM 100:2008, 5.2.2, eq. 16).
func TestSpread(t *testing.T) {
	var list []Result[Force]
	const rule, own = 1e-3, 0.004
	for _, mu := range []float64{7e-4, 4e-4, 1.4e-3, 6e-4} {
		list = append(list, must(Stretch{Length: Stated(Length(0.648), Length(rule)), F0: Stated[Frequency](220, 0),
			Ends: EndsPinned}.Tension(Stated(UnitWeight(mu), UnitWeight(mu*own)))))
	}
	pull := func(mu float64) float64 { return 4 * mu * math.Pow(0.648*220, 2) }
	high, low := pull(1.4e-3), pull(4e-4)
	want := math.Hypot(own*math.Hypot(high, low), (high-low)*2*rule/0.648)
	s := must(Spread(list, OneBench))
	if math.Abs(float64(s.Value)-(high-low)) > 1e-9 || math.Abs(float64(s.U)/want-1) > 1e-9 || len(s.Budget) != 3 {
		t.Errorf("%v ± %v of %d terms, want %v ± %v", s.Value, s.U, len(s.Budget), high-low, want)
	}
	if v := must(s.Model.Propagate(100_000, 0.95, 3)); math.Abs(v.U/want-1) > 0.02 || math.Abs(v.Mean-(high-low)) > 0.02*want {
		t.Errorf("by Monte Carlo %v ± %v, want %v ± %v", v.Mean, v.U, high-low, want)
	}
	// Alike in all, as of one string twice.
	if s := must(Spread([]Result[Force]{list[0], list[0]}, func(Term) bool { return true })); s.Value != 0 || s.U > 1e-9 {
		t.Errorf("%v ± %v", s.Value, s.U)
	}
	for _, bad := range [][]Result[Force]{nil, list[:1], {list[0], {}}} {
		if s, err := Spread(bad, OneBench); err == nil {
			t.Errorf("%d pulls have a spread of %v", len(bad), s.Value)
		}
	}
}

func TestTotalRefusals(t *testing.T) {
	for _, bad := range [][]Result[Force]{nil, {{}}, {{Measured: Stated[Force](70, 1)}, {Measured: Stated[Force](-70, 1)}},
		{{Measured: Stated(Force(math.Inf(1)), 0)}}} {
		if r, err := Total(bad, OneBench); err == nil || r.Value != 0 {
			t.Errorf("%+v: %v, %v", bad, r, err)
		}
	}
}
