package physics

import (
	"math"
	"testing"
)

// What a result is said to become is what it becomes once the input is known as well.
func TestImprovements(t *testing.T) {
	s, w := bass()
	s.Length, s.Ends = Stated(864*Millimetre, 1*Millimetre), EndsUnknown
	s.B = Stated[Inharmonicity](1e-5, 1e-7)
	r := must(s.Tension(w))
	all := r.Improvements()
	if len(all) == 0 || all[0].Input != "speaking length" {
		t.Fatalf("improvements %+v", all)
	}
	for i, got := range all {
		if i > 0 && got.U < all[i-1].U {
			t.Errorf("%s stands below one that helps less", got.Input)
		}
		s, w := s, w
		slack := 1e-12
		switch got.Input {
		case "speaking length":
			s.Length.U = Length(got.Reach.U)
		case "unit weight":
			w.U = UnitWeight(got.Reach.U)
		case "end condition":
			s.Ends, slack = EndsPinned, 0.02 // which moves the value, too
		default:
			t.Errorf("%s would hardly help", got.Input)
		}
		if want := float64(must(s.Tension(w)).U); math.Abs(got.U/want-1) > slack {
			t.Errorf("%s: u would become %v, becomes %v", got.Input, got.U, want)
		}
	}
	// 2·√(0.2² + (2/8.64)² + 0.117²) and with (0.4/8.64)² in place of (2/8.64)², in %.
	if want := "known to ± 0.2 mm: ± 0.65 % becomes ± 0.47 %"; all[0].Said != want {
		t.Errorf("said %q, want %q", all[0].Said, want)
	}
	// In the unit that was typed.
	s.Length = s.Length.As(Inch)
	if got, want := must(s.Tension(w)).Improvements()[0].Said, "known to ± 0.0079 in: ± 0.65 % becomes ± 0.47 %"; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
	// 2·√(0.1² + (2/8.64)² + 0.117²).
	if got, want := must(s.Tension(StringWeight.Assume(w.Value))).Improvements()[0].Said, "known to ± 0.1 %: ± 2.1 % becomes ± 0.56 %"; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}

// A stiffness that could not be heard costs most of all, and hearing it is proposed.
func TestHearingStiffnessHelps(t *testing.T) {
	s, w := bass()
	s.Ends, s.B = EndsClamped, Measured[Inharmonicity]{U: 6e-4, Assumed: true}
	r := must(s.Tension(w))
	best := r.Improvements()[0]
	if best.Input != "inharmonicity" || best.Reach.Said != "heard" {
		t.Fatalf("best is %+v", best)
	}
	rest := 0.0
	for _, term := range r.Budget {
		if term.Input != "inharmonicity" {
			rest = math.Hypot(rest, term.Contribution())
		}
	}
	if best.U < rest || best.U > 1.2*rest {
		t.Errorf("u would become %v, the other inputs make %v", best.U, rest)
	}
	s.B.Assumed = false
	for _, got := range must(s.Tension(w)).Improvements() {
		if got.Input == "inharmonicity" {
			t.Errorf("what was heard is proposed to be heard: %+v", got)
		}
	}
}

func TestNothingToImprove(t *testing.T) {
	r := must(Cut{Stated(9*Gram, 0.001*Gram), Stated[Length](0.5, 0.2e-3)}.UnitWeight())
	if got := r.Improvements(); got != nil {
		t.Errorf("better than is in reach: %+v", got)
	}
	exact := must(Cut{Stated(9*Gram, 0), Stated[Length](0.5, 0)}.UnitWeight())
	if got := exact.Improvements(); got != nil {
		t.Errorf("better than exact: %+v", got)
	}
}

func TestWith(t *testing.T) {
	s, w := bass()
	s.B, s.Corr = Stated[Inharmonicity](6e-5, 1e-6), -0.8
	r := must(s.Tension(w))
	before := r.Budget[0].Share
	for input, change := range map[string]func(*Stretch, *Measured[UnitWeight]){
		"unit weight":     func(_ *Stretch, w *Measured[UnitWeight]) { w.U = 1e-6 },
		"speaking length": func(s *Stretch, _ *Measured[UnitWeight]) { s.Length.U = 1e-6 },
		"f0":              func(s *Stretch, _ *Measured[UnitWeight]) { s.F0.U = 1e-6 },
		"nothing":         func(*Stretch, *Measured[UnitWeight]) {},
	} {
		s, w := s, w
		change(&s, &w)
		got, err := r.Budget.With(input, 1e-6)
		if want := float64(must(s.Tension(w)).U); err != nil || math.Abs(got/want-1) > 1e-12 {
			t.Errorf("%s to 1e-6: %v, %v, want %v", input, got, err, want)
		}
	}
	if r.Budget[0].Share != before {
		t.Error("asking what would be changed the budget")
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if u, err := r.Budget.With("f0", bad); err == nil {
			t.Errorf("f0 to %v gives %v", bad, u)
		}
	}
}
