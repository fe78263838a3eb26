package physics

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestParseLoad(t *testing.T) {
	for _, c := range []struct {
		text  string
		pull  float64 // where gravity is standard
		u     float64
		unit  Force
		weigh bool
		shown string
	}{
		{"20N±0.1%", 20, 0.02, Newton, false, "20N"},
		{"2kgf", 2 * StandardGravity, 0.01 * StandardGravity, KilogramForce, false, "2kgf"},
		{"2kg±2g", 2 * StandardGravity, 2e-3 * StandardGravity, Newton, true, "2kg"},
		{" 2000 g ", 2 * StandardGravity, 0.01 * StandardGravity, Newton, true, "2000g"},
		{"10lb±0.1%", float64(10 * PoundForce), float64(PoundForce) / 100, PoundForce, true, "10lb"},
	} {
		l, err := ParseLoad(HungLoad, c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		p := l.Pull(StandardGravity)
		if math.Abs(float64(p.Value)/c.pull-1) > 1e-12 || math.Abs(float64(p.U)/c.u-1) > 1e-9 || p.Unit != c.unit ||
			l.Weighs() != c.weigh || l.String() != c.shown {
			t.Errorf("%q: %v pulls %+v", c.text, l, p)
		}
		if moon := l.Pull(StandardGravity / 2).Value; (moon < p.Value) != c.weigh {
			t.Errorf("%q pulls %v in half the gravity", c.text, moon)
		}
	}
	for _, c := range []struct{ text, says, hint string }{
		{"2", `load "2" has no unit`, "write 2N or 2lbf or 2kgf"},
		{"", "load is empty", "write it like 2kg"},
		{"2m", "is in m, a unit of length", "2N"},
		{"-2kg", "must not be negative", ""},
		{"0kg", "must be more than zero", ""},
		{"NaNkg", "does not start with a number", ""},
		{"1e9kg", "is implausible", "expected between"},
		{"1mg", "is implausible", "expected between"},
		{"2kg±1N", "tolerance of load", ""},
		{"2kg±50%", "more than a quarter", ""},
	} {
		_, err := ParseLoad(HungLoad, c.text)
		var e *InputError
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.says) || !strings.Contains(e.Hint(), c.hint) {
			t.Errorf("%q: %v, %v", c.text, err, e)
		}
	}
}

func TestParseRelative(t *testing.T) {
	if r, err := ParseRelative("share", " 0.05%"); err != nil || math.Abs(r.U-5e-4) > 1e-18 || r.Assumed {
		t.Errorf("%+v, %v", r, err)
	}
	for _, s := range []string{"", "%", "0%", "-1%", "0.05", "NaN%", "Inf%", "26%", "1e-3N"} {
		if r, err := ParseRelative("share", s); err == nil {
			t.Errorf("%q is %v", s, r)
		}
	}
}

// A mass pulls with gravity, which is part of what is not known.
func TestUnitWeightUnder(t *testing.T) {
	s, _ := bass()
	g := Stated[Acceleration](9.812, 0.001)
	mass := must(s.UnitWeightUnder(must(ParseLoad(Pull, "16kg±10g")), g))
	force := must(s.UnitWeight(Stated[Force](16*9.812, 0.01*9.812)))
	if math.Abs(float64(mass.Value/force.Value)-1) > 1e-12 {
		t.Errorf("as a mass %v, as a force %v", mass.Value, force.Value)
	}
	if want := math.Hypot(force.Relative(), 0.001/9.812); math.Abs(mass.Relative()/want-1) > 1e-9 {
		t.Errorf("relative uncertainty %v, want %v", mass.Relative(), want)
	}
	if !has(mass.Budget, "gravity", false) {
		t.Errorf("%+v", mass.Budget)
	}
	if r := must(s.UnitWeightUnder(must(ParseLoad(Pull, "160N")), Measured[Acceleration]{})); has(r.Budget, "gravity", false) {
		t.Errorf("a force has gravity in its budget: %+v", r.Budget)
	}
	if r, err := s.UnitWeightUnder(must(ParseLoad(Pull, "16kg")), Measured[Acceleration]{}); err == nil {
		t.Errorf("without gravity it weighs %v", r.Value)
	}
	any := AnyGravity()
	if math.Abs(any.Relative()-0.0015) > 5e-5 || !any.Assumed {
		t.Errorf("gravity of any place: %+v", any)
	}
}
