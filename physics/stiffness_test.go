package physics

import (
	"math"
	"testing"
)

// Both ways to a stiffness, and what the heard one shares with the unit weight.
func TestStiffness(t *testing.T) {
	told := must(Stiff{Stated[Inharmonicity](6e-5, 1e-6), Stated[Force](163, 1), mm(864, 0.5)}.Stiffness())
	// By hand: 6e-5·163·0.864²/π².
	if math.Abs(float64(told.Value)/7.3971e-4-1) > 1e-4 {
		t.Errorf("EI %v", told.Value)
	}
	if want := math.Sqrt(math.Pow(1./60, 2) + math.Pow(1./163, 2) + math.Pow(2*0.5/864, 2)); math.Abs(told.Relative()/want-1) > 1e-9 {
		t.Errorf("known to %v, want %v", told.Relative(), want)
	}
	s, w := bass()
	s.B = Stated[Inharmonicity](1e-4, 1e-6)
	heard := must(s.Stiffness(w))
	pull := must(s.Tension(w)).Value
	if want := StiffnessOf(s.B.Value, pull, s.Length.Value); math.Abs(float64(heard.Value/want)-1) > 1e-12 {
		t.Errorf("EI %v, want %v", heard.Value, want)
	}
	const step = 1e-6
	for _, term := range heard.Budget {
		at := func(by float64) float64 {
			s, w := s, w
			switch term.Input {
			case "unit weight":
				w.Value *= UnitWeight(by)
			case "speaking length":
				s.Length.Value *= Length(by)
			case "f0":
				s.F0.Value *= Frequency(by)
			case "inharmonicity":
				s.B.Value *= Inharmonicity(by)
			default:
				return math.NaN()
			}
			return float64(must(s.Stiffness(w)).Value)
		}
		slope := (at(1+step) - at(1-step)) / (2 * step)
		if math.IsNaN(slope) {
			continue
		}
		// The end factor's part in that of B is left out: 0.3 % of it at this B.
		if got := term.Sensitivity * map[string]float64{"unit weight": float64(w.Value), "speaking length": float64(s.Length.Value),
			"f0": float64(s.F0.Value), "inharmonicity": float64(s.B.Value)}[term.Input]; math.Abs(got/slope-1) > 5e-3 {
			t.Errorf("by %s: %v, slope %v", term.Input, got, slope)
		}
	}
	e := must(Evidence{UnitWeight: w, Outside: mm(1.8, 0.01)}.Heard(s))
	if want := w.Relative() / heard.Relative(); math.Abs(e.Correlation/want-1) > 1e-9 {
		t.Errorf("correlation %v, want %v", e.Correlation, want)
	}
	for _, bad := range []Stiff{{}, {B: Stated[Inharmonicity](1e-5, 0)}, {Stated[Inharmonicity](1, 0), Stated[Force](1, 0), Stated[Length](1, 0)}} {
		if ei, err := bad.Stiffness(); err == nil {
			t.Errorf("%+v has %v", bad, ei)
		}
	}
	if rough := must(s.RoughStiffness(w)); math.Abs(float64(rough.Value/heard.Value)-1) > 1e-9 || math.Abs(float64(rough.U/rough.Value)-s.B.Relative()) > 1e-9 {
		t.Errorf("roughly %v, not %v", rough, heard.Measured)
	}
	s.B.Value = 0
	if rough := must(s.RoughStiffness(w)); rough.Value != 0 || !(rough.U > 0) {
		t.Errorf("without B roughly %v", rough)
	}
	if ei, err := s.Stiffness(w); err == nil {
		t.Errorf("without B it has %v", ei)
	}
	// Heard so, it is supple, and that is no contradiction.
	if e, err := (Evidence{UnitWeight: w, Outside: mm(1.8, 0.01), Stiffness: heard.Measured}).Heard(s); err != nil || e.stiff() {
		t.Errorf("without B %+v, %v", e, err)
	}
}
