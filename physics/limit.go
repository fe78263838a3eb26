package physics

import "math"

// A Limit is how near a string is to a strength at which it breaks.
type Limit struct {
	Strength
	// Load is the part of the strength that the core carries: 1 breaks it.
	Load Result[Fraction]
	// Headroom is how far the string can be tuned up before it carries all; below
	// zero it does so already. Stretched further it would be lighter for its length,
	// so that it would break some cents higher.
	Headroom Result[PitchInterval]
}

// Limits lists how near the string is to each of its core's Strengths, the nearest
// first. The strengths are bounds and add no uncertainty; terms as in Stress, through
// the core's size also for what its strength goes with. The error is an *InputError.
func (s Strung) Limits() ([]Limit, error) {
	if err := s.checkPull(); err != nil {
		return nil, err
	}
	strengths, err := s.Core.Strengths()
	if err != nil {
		return nil, err
	}
	var out []Limit
	for _, least := range strengths {
		load := func(x ...float64) float64 {
			return x[0] / (s.Core.Shape.area() * x[1] * x[1] * float64(least.rule(s.Core.Shape.round(x[1]))))
		}
		l := Limit{Strength: least}
		if l.Load, err = concludeDerived("load", derive(load, s.pull(), s.size()), Percent); err != nil {
			return nil, err
		}
		room := derive(func(x ...float64) float64 { return -600 * math.Log2(load(x...)) }, s.pull(), s.size())
		if l.Headroom, err = concludeChange("headroom", room, Semitone); err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}

// Broken tells whether the core carries more than the strength.
func (l Limit) Broken() bool { return l.Load.Value >= 1 }

// Doubtful tells whether it may carry more, by its expanded uncertainty.
func (l Limit) Doubtful() bool { return l.Load.Value+Coverage*l.Load.U >= 1 }
