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

// What a mass pulls owes its uncertainty to the mass and to gravity; what a force does
// is as it was said.
func TestUnder(t *testing.T) {
	g := Stated[Acceleration](9.8, 0.0098)
	l := must(ParseLoad(Pull, "10kg±0.2%"))
	r := must(l.Under(g))
	if math.Abs(float64(r.Value)/98-1) > 1e-12 || math.Abs(r.Relative()/math.Hypot(0.002, 0.001)-1) > 1e-9 {
		t.Errorf("10 kg pull %+v", r.Measured)
	}
	if b := r.Budget; len(b) != 2 || b[0].Input != "pull" || math.Abs(b[0].Share-0.8) > 1e-9 || b[1].Input != "gravity" {
		t.Errorf("budget %+v", b)
	}
	if r := must(must(ParseLoad(Pull, "10kg")).Under(AnyGravity())); !r.Assumed {
		t.Error("a mass without a tolerance is not marked as assumed")
	}
	if r := must(must(ParseLoad(Pull, "98N±1N")).Under(g)); r.Measured != Stated[Force](98, 1).As(Newton) || r.Budget != nil {
		t.Errorf("98 N pull %+v", r)
	}
	for _, bad := range []Acceleration{0, -9.8, Acceleration(math.NaN()), Acceleration(math.Inf(1))} {
		if r, err := l.Under(Stated(bad, 0)); err == nil {
			t.Errorf("where gravity is %v: %v", float64(bad), r)
		}
	}
	if r, err := (Load{}).Under(g); err == nil {
		t.Errorf("nothing pulls %v", r)
	}
}

func TestParseRelative(t *testing.T) {
	for s, want := range map[string]float64{" 0.05%": 5e-4, "±0.1%": 1e-3, "0.1%": 1e-3, "+-5 %": 0.05} {
		if r, err := ParseRelative("share", s); err != nil || math.Abs(r.U-want) > 1e-15 || r.Assumed {
			t.Errorf("%q: %+v, %v", s, r, err)
		}
	}
	for _, s := range []string{"", "%", "0%", "±0%", "-1%", "nan%", "inf%", "0.05", "NaN%", "Inf%", "26%", "1e-3N"} {
		if r, err := ParseRelative("share", s); err == nil {
			t.Errorf("%q is %v", s, r)
		}
	}
}

// A mass pulls with gravity, which is part of what is not known.
func TestUnitWeightUnder(t *testing.T) {
	s, _ := bass()
	g := Stated[Acceleration](9.812, 0.001)
	mass := must(s.UnitWeightUnder(Loading{Load: must(ParseLoad(Pull, "16kg±10g")), Gravity: g}))
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
	if r := must(s.UnitWeightUnder(Loading{Load: must(ParseLoad(Pull, "160N"))})); has(r.Budget, "gravity", false) {
		t.Errorf("a force has gravity in its budget: %+v", r.Budget)
	}
	if r, err := s.UnitWeightUnder(Loading{Load: must(ParseLoad(Pull, "16kg"))}); err == nil {
		t.Errorf("without gravity it weighs %v", r.Value)
	}
	any := AnyGravity()
	if math.Abs(any.Relative()-0.0015) > 5e-5 || !any.Assumed {
		t.Errorf("gravity of any place: %+v", any)
	}
}

// A rig takes some of the load, and its weights are off together: by hand, and by
// random draws through the model.
func TestUnitWeightOnARig(t *testing.T) {
	s, _ := bass()
	l := Loading{Load: must(ParseLoad(Pull, "16kg±10g")), Gravity: Stated[Acceleration](9.812, 0.005),
		Loss: Stated[Force](1.2, 0.3), Scale: Relative{U: 1e-3, Said: "bench"}}
	r := must(s.UnitWeightUnder(l))
	hung := 16 * 9.812
	if want := must(s.UnitWeight(Stated(Force(hung-1.2), 0))).Value; math.Abs(float64(r.Value/want)-1) > 1e-12 {
		t.Errorf("%v, want %v", r.Value, want)
	}
	for input, newton := range map[string]float64{"pull": 0.01 * 9.812, "gravity": 16 * 0.005, "friction": 0.3, "weights": 1e-3 * hung} {
		got := contributionOf(r.Budget, input) / float64(r.Value)
		if want := newton / (hung - 1.2); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("%s makes %v of it, want %v", input, got, want)
		}
	}
	p, err := r.Model.Propagate(200_000, 0.95, 1)
	if err != nil || math.Abs(p.U/float64(r.U)-1) > 0.01 || math.Abs(p.Mean/float64(r.Value)-1) > 1e-4 {
		t.Errorf("%v ± %v, Monte Carlo %v ± %v; %v", r.Value, r.U, p.Mean, p.U, err)
	}
	for name, bad := range map[string]func(*Loading){
		"endless friction":      func(l *Loading) { l.Loss.Value = Force(math.Inf(1)) },
		"friction, who knows":   func(l *Loading) { l.Loss.U = Force(math.NaN()) },
		"weights below zero":    func(l *Loading) { l.Scale.U = -1 },
		"friction takes it all": func(l *Loading) { l.Loss.Value = 200 },
	} {
		l := l
		bad(&l)
		if r, err := s.UnitWeightUnder(l); err == nil {
			t.Errorf("%s: %v", name, r.Value)
		}
	}
}

func contributionOf(b Budget, input string) float64 {
	if i := b.find(input); i >= 0 {
		return b[i].Contribution()
	}
	return math.NaN()
}
