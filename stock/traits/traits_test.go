package traits

import (
	"errors"
	"math"
	"testing"

	"pluckweigh/physics"
)

func TestStiffIsTheCores(t *testing.T) {
	steel, err := physics.ParseMaterial("steel")
	if err != nil {
		t.Fatal(err)
	}
	for _, shape := range []physics.Shape{physics.Round, physics.Hexagonal} {
		s := String{Core: physics.Core{Shape: shape, Size: physics.Stated[physics.Length](0.4e-3, 2e-6), Of: steel}}
		want, err := s.Core.Stiffness()
		if err != nil {
			t.Fatal(err)
		}
		got := s.Stiff() // the budget has its sensitivities by differences
		if math.Abs(float64(got.Value/want.Value)-1) > 1e-12 || math.Abs(float64(got.U/want.U)-1) > 1e-9 {
			t.Errorf("%v: %v, not %v", shape, got, want.Measured)
		}
	}
	heard := String{Stiffness: physics.Stated[physics.BendingStiffness](2e-4, 1e-6)}
	if heard.Stiff() != heard.Stiffness || (&String{}).Stiff().Value != 0 {
		t.Error("a stiffness that was heard does not count, or one that is not known does")
	}
}

func TestCheckRefuses(t *testing.T) {
	steel, _ := physics.ParseMaterial("steel")
	ok := String{Name: "a", UnitWeight: physics.Stated[physics.UnitWeight](1e-3, 1e-5), Kind: Plain, Left: 1,
		Core: physics.Core{Size: physics.Stated[physics.Length](0.4e-3, 2e-6), Of: steel}}
	if err := ok.Check(); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(*String){
		"no weight":          func(s *String) { s.UnitWeight.Value = 0 },
		"NaN weight":         func(s *String) { s.UnitWeight.Value = physics.UnitWeight(math.NaN()) },
		"endless tolerance":  func(s *String) { s.UnitWeight.U = physics.UnitWeight(math.Inf(1)) },
		"diameter below 0":   func(s *String) { s.Outside.Value = -1e-3 },
		"tolerance of none":  func(s *String) { s.Stiffness.U = 1 },
		"no such kind":       func(s *String) { s.Kind = 3 },
		"fewer than none":    func(s *String) { s.Left = -2 },
		"no such shape":      func(s *String) { s.Core.Shape = 9 },
		"core of no modulus": func(s *String) { s.Core.Of.Modulus.Value = 0 },
	} {
		s := ok
		change(&s)
		var e *physics.InputError
		if err := s.Check(); !errors.As(err, &e) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A core is what its wire weighs, or how stiff it is, whichever way it is found.
func TestCoreOfWhatIsKnown(t *testing.T) {
	m, err := physics.ParseMaterial("steel")
	if err != nil {
		t.Fatal(err)
	}
	d := physics.Stated[physics.Length](0.4e-3, 2e-6)
	build := physics.Build{Core: physics.Core{Size: d, Of: m}}
	weight, err := build.UnitWeight()
	if err != nil {
		t.Fatal(err)
	}
	stiff, err := build.Core.Stiffness()
	if err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]String{
		"gauge":     {Kind: Plain, Outside: d, UnitWeight: weight.Measured},
		"weight":    {Kind: Plain, UnitWeight: weight.Measured},
		"stiffness": {Kind: Wound, Outside: physics.Stated[physics.Length](1.2e-3, 1e-6), UnitWeight: physics.Stated[physics.UnitWeight](9e-3, 1e-5), Stiffness: stiff.Measured},
	} {
		c := s.CoreOf(m)
		if math.Abs(float64(c.Size.Value/d.Value)-1) > 1e-12 || c.Size.U < d.U || c.Size.U > 8*d.U || c.Of != m {
			t.Errorf("%s: %+v", name, c)
		}
	}
	for name, s := range map[string]String{
		"nothing":               {Kind: Plain},
		"a wound one's gauge":   {Kind: Wound, Outside: d, UnitWeight: weight.Measured},
		"either kind":           {Outside: d, UnitWeight: weight.Measured, Stiffness: stiff.Measured},
		"no core is so thick":   {Kind: Plain, Outside: physics.Stated[physics.Length](9e-3, 1e-6)},
		"no core is so stiff":   {Kind: Wound, Stiffness: physics.Stated[physics.BendingStiffness](1e5, 1)},
		"no core is that light": {Kind: Plain, UnitWeight: physics.Stated[physics.UnitWeight](1e-9, 1e-11)},
	} {
		if c := s.CoreOf(m); c != (physics.Core{}) {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

func TestParseKind(t *testing.T) {
	for _, k := range []Kind{EitherKind, Plain, Wound} {
		if got, err := ParseKind(k.String()); got != k || err != nil {
			t.Errorf("%q: %v, %v", k.String(), got, err)
		}
	}
	if k, err := ParseKind("flat"); err == nil {
		t.Errorf("flat: %v", k)
	}
}
