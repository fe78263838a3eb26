package survey

import (
	"math"
	"testing"

	"pluckweigh/physics"
)

// The pooled pitch shrinks with plucks that agree, and tells of those that do not: of two
// values, written out, the mean of equal weights is uncertain by half of what they differ
// by.
func TestStatesPool(t *testing.T) {
	places := placesAt(0, 500)
	state := func(heard ...Heard) State {
		return States(places, heard, Recognise(places, heard, semitone), semitone)[0]
	}
	one, four := state(heardAt(10)), state(heardAt(10), heardAt(10), heardAt(10), heardAt(10))
	if math.Abs(one.U/four.U-2) > 1e-6 || !one.Good || math.Abs(one.Cents-10) > 1e-9 {
		t.Errorf("%v and %v", one, four)
	}
	two := state(heardAt(0), heardAt(4))
	half := float64(at(4)-at(0)) / 2
	if got := float64(two.F1.U); math.Abs(got/half-1) > 1e-3 || two.Good || !(two.F1.DoF > 0.99 && two.F1.DoF < 1.1) {
		t.Errorf("u is %v, not %v, of %v degrees of freedom", got, half, two.F1.DoF)
	}
	if moved := state(heardAt(-60), heardAt(5)); math.Abs(moved.Cents-5) > 1e-9 || math.Abs(moved.Moved-65) > 1e-6 || len(moved.Plucks) != 1 {
		t.Errorf("%+v", moved)
	}
	if none := States(places, nil, nil, semitone); none[0].Heard() || none[1].Good {
		t.Errorf("%+v", none)
	}
}

// A string pulls as the square of its pitch; at its note neither what was heard nor the
// clock makes the pull uncertain.
func TestAtPitch(t *testing.T) {
	const b = 1e-4
	h := heardAt(-80)
	f0 := h.F1.Value / physics.Frequency(math.Sqrt(1+b))
	h.F0 = physics.Stated(f0, f0*1e-3)
	h.B = physics.Stated(physics.Inharmonicity(b), physics.Inharmonicity(1e-6))
	places := placesAt(0)
	s := States(places, []Heard{h}, Recognise(places, []Heard{h}, semitone), semitone)[0]
	held := Held{Length: physics.Stated(physics.Length(0.8), physics.Length(0)), Ends: physics.EndsPinned, Clock: physics.Relative{U: 1e-4}}
	mu := physics.Stated(physics.UnitWeight(0.01), physics.UnitWeight(0))
	found, err := s.AsFound(held).Tension(mu)
	if err != nil {
		t.Fatal(err)
	}
	pitched, err := s.AtPitch(held, at(0)).Tension(mu)
	if err != nil {
		t.Fatal(err)
	}
	// T = 4µL²f0², and f1² = f0²(1 + B) with B = π²EI/(TL²), so that T + π²EI/L² = 4µL²f1².
	stiff := b * float64(found.Value)
	want := 4*0.01*0.64*1e4 - stiff
	if got := float64(pitched.Value); math.Abs(got/want-1) > 1e-6 {
		t.Errorf("pulls %v at pitch, not %v", got, want)
	}
	if found.Relative() < 2e-3 || pitched.Relative() > 1e-5 {
		t.Errorf("relative u %v as found, %v at pitch", found.Relative(), pitched.Relative())
	}
	if got := Needed(0.01, 100, 120); math.Abs(float64(got)-0.012) > 1e-12 {
		t.Errorf("needed %v", got)
	}
}
