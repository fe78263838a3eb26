package physics

import (
	"math"
	"testing"
)

// The sensitivities of a budget, sign included, are the slopes of the result.
func TestSensitivities(t *testing.T) {
	const step = 1e-6 // relative
	s, w := bass()
	s.B.U = s.B.Value * 1e-4 // small, as the difference quotient over it must be a slope
	pull := Stated[Force](150, 1)
	cut := Cut{Stated(1.2*Gram, 0), Stated[Length](1, 0)}
	clip := clipped()
	wire := PlainWire{Stated(0.3*Millimetre, 0), Stated[Density](7850, 0)}
	for _, c := range []struct {
		result, input string
		at            float64
		f             func(by float64) (float64, Budget) // the input times by
	}{
		{"tension", "unit weight", float64(w.Value), func(by float64) (float64, Budget) {
			w := w
			w.Value *= UnitWeight(by)
			return flat(s.Tension(w))
		}},
		{"tension", "speaking length", float64(s.Length.Value), func(by float64) (float64, Budget) {
			s := s
			s.Length.Value *= Length(by)
			return flat(s.Tension(w))
		}},
		{"tension", "f0", float64(s.F0.Value), func(by float64) (float64, Budget) {
			s := s
			s.F0.Value *= Frequency(by)
			return flat(s.Tension(w))
		}},
		{"tension", "inharmonicity", float64(s.B.Value), func(by float64) (float64, Budget) {
			s := s
			s.B.Value *= Inharmonicity(by)
			return flat(s.Tension(w))
		}},
		{"unit weight", "inharmonicity", float64(s.B.Value), func(by float64) (float64, Budget) {
			s := s
			s.B.Value *= Inharmonicity(by)
			return flat(s.UnitWeight(pull))
		}},
		{"unit weight", "pull", float64(pull.Value), func(by float64) (float64, Budget) {
			pull := pull
			pull.Value *= Force(by)
			return flat(s.UnitWeight(pull))
		}},
		{"unit weight", "speaking length", float64(s.Length.Value), func(by float64) (float64, Budget) {
			s := s
			s.Length.Value *= Length(by)
			return flat(s.UnitWeight(pull))
		}},
		{"unit weight", "f0", float64(s.F0.Value), func(by float64) (float64, Budget) {
			s := s
			s.F0.Value *= Frequency(by)
			return flat(s.UnitWeight(pull))
		}},
		{"cut", "mass of the cut", float64(cut.Mass.Value), func(by float64) (float64, Budget) {
			cut := cut
			cut.Mass.Value *= Mass(by)
			return flat(cut.UnitWeight())
		}},
		{"cut", "length of the cut", float64(cut.Length.Value), func(by float64) (float64, Budget) {
			cut := cut
			cut.Length.Value *= Length(by)
			return flat(cut.UnitWeight())
		}},
		{"wire", "gauge", float64(wire.Gauge.Value), func(by float64) (float64, Budget) {
			wire := wire
			wire.Gauge.Value *= Length(by)
			return flat(wire.UnitWeight())
		}},
		{"wire", "density", float64(wire.Density.Value), func(by float64) (float64, Budget) {
			wire := wire
			wire.Density.Value *= Density(by)
			return flat(wire.UnitWeight())
		}},
		{"clip's unit weight", "mass of the clip", float64(clip.Mass.Value), func(by float64) (float64, Budget) {
			c := clip
			c.Mass.Value *= Mass(by)
			return flat(c.UnitWeight())
		}},
		{"clip's unit weight", "shift heard", clip.Ratio, func(by float64) (float64, Budget) {
			c := clip
			c.Ratio *= by
			return flat(c.UnitWeight())
		}},
		{"clip's tension", "speaking length", float64(clip.Length.Value), func(by float64) (float64, Budget) {
			c := clip
			c.Length.Value *= Length(by)
			return flat(c.Tension())
		}},
	} {
		_, budget := c.f(1)
		above, _ := c.f(1 + step)
		below, _ := c.f(1 - step)
		slope := (above - below) / (2 * step * c.at)
		found := false
		for _, term := range budget {
			if term.Input == c.input {
				found = true
				if math.Abs(term.Sensitivity/slope-1) > 1e-6 {
					t.Errorf("%s by %s: sensitivity %v, slope %v", c.result, c.input, term.Sensitivity, slope)
				}
			}
		}
		if !found {
			t.Errorf("%s: %s is not in the budget", c.result, c.input)
		}
	}
}

func flat[Q Quantity](r Result[Q], err error) (float64, Budget) {
	if err != nil {
		panic(err)
	}
	return float64(r.Value), r.Budget
}
