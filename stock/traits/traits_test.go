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
		got := s.Stiff()
		if math.Abs(float64(got.Value/want.Value)-1) > 1e-12 || math.Abs(float64(got.U/want.U)-1) > 1e-12 {
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
	ok := String{ID: "a", UnitWeight: physics.Stated[physics.UnitWeight](1e-3, 1e-5), Kind: Plain, Left: 1,
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
		"fewer than none":    func(s *String) { s.Left = -1 },
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
