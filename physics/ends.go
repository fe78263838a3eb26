package physics

import "math"

// Ends says how a string is held at its two ends. Sound alone cannot tell: both
// give partials of the same shape (Fletcher 1964).
type Ends int

const (
	EndsUnknown Ends = iota // anything between pinned and clamped
	EndsPinned              // free to turn at both ends
	EndsClamped             // held in direction at both ends
)

// String names the ends in a word.
func (e Ends) String() string {
	switch e {
	case EndsUnknown:
		return "unknown"
	case EndsPinned:
		return "pinned"
	case EndsClamped:
		return "clamped"
	}
	return "no ends"
}

// ParseEnds reads "unknown", "pinned" or "clamped".
func ParseEnds(s string) (Ends, error) {
	for e := EndsUnknown; e <= EndsClamped; e++ {
		if s == e.String() {
			return e, nil
		}
	}
	return 0, &InputError{"ends", s, "is not known", "write unknown, pinned or clamped"}
}

// ClampRaise is the factor by which clamping both ends raises the whole series
// of a stiff string above the pinned one: 1 + (2/π)√B + (4/π²)B (Fletcher 1964;
// Fletcher & Rossing, The Physics of Musical Instruments). b is not negative.
func ClampRaise(b Inharmonicity) float64 {
	x := 2 / math.Pi * math.Sqrt(float64(b))
	return 1 + x + x*x
}

// endFactor is what the ends do to the square of a string's frequency: by what
// it must be multiplied to be that of a flexible string.
type endFactor struct {
	value float64
	ends  float64 // standard uncertainty: where between pinned and clamped
	b     float64 // by how much it moves if the string is less stiff by one standard uncertainty
}

// factor is the end factor of a string of inharmonicity b.
//
// The series of a pinned string is that of the flexible one; clamped ends raise
// it by c = ClampRaise, so the factor lies between 1/c² and 1. Where the ends
// are unknown it is half-way, with a rectangular distribution between the two:
// the half-width over √3, about 0.37 √B of the tension.
//
// c goes with √B, whose slope is infinite at 0, so b is carried by the
// difference over its interval instead of a derivative (JCGM 100:2008, 5.1.3
// note 2): half the change from b−u to b+u. That interval is cut at zero, and
// its middle taken for b. A b of 0 with an uncertainty U, as of a string whose
// inharmonicity could not be heard, thus counts as U/2 ± U/2.
func (e Ends) factor(b Measured[Inharmonicity]) endFactor { return e.power(b, -2) }

// Midway is the middle of what an inharmonicity may be, which counts where its √
// does: that of its interval, cut at zero.
func Midway(b Measured[Inharmonicity]) Inharmonicity {
	return (max(b.Value-b.U, 0) + b.Value + b.U) / 2
}

// Share is what the ends leave of a flexible string's tension, T/(4µL²f0²), for a
// string whose inharmonicity is b midway: the factor that Stretch.Tension puts on. It
// is plain arithmetic on what was checked before.
func (e Ends) Share(b Inharmonicity) float64 {
	if e == EndsPinned {
		return 1
	}
	c := ClampRaise(b)
	if e == EndsClamped {
		return 1 / (c * c)
	}
	return (1 + 1/(c*c)) / 2
}

// raise is the factor by which the ends raise a string's frequencies. Clamped ends
// do so as ones set closer by that factor would: a mass on the string is then a
// larger share of what moves.
func (e Ends) raise(b Measured[Inharmonicity]) endFactor { return e.power(b, 1) }

// power is a power of c.
func (e Ends) power(b Measured[Inharmonicity], exponent float64) endFactor {
	if e == EndsPinned {
		return endFactor{value: 1}
	}
	low, high := max(b.Value-b.U, 0), b.Value+b.U
	clamped := func(b Inharmonicity) float64 { return math.Pow(ClampRaise(b), exponent) }
	at := clamped(Midway(b))
	spread := (clamped(low) - clamped(high)) / 2
	if e == EndsClamped {
		return endFactor{value: at, b: spread}
	}
	return endFactor{
		value: (1 + at) / 2,
		ends:  math.Abs(1-at) / 2 / math.Sqrt(3),
		b:     spread / 2,
	}
}

// terms are the budget's terms of the ends, for a result that goes with the factor to
// the power given; corr are the correlations of b.
func (f endFactor) terms(result, exponent float64, b Measured[Inharmonicity], corr []Correlation) (terms []Term) {
	per := exponent * result / f.value
	if f.ends > 0 {
		terms = append(terms, Term{
			Input: "end condition", Said: "pinned or clamped, unknown",
			U: f.ends, Sensitivity: per, Assumed: true, Even: true,
			Shift: result - result*math.Pow(f.value, -exponent), // from pinned ends
			Reach: Reach{0, "known"},
		})
	}
	if f.b != 0 {
		stiff := Term{
			Input: string(StringInharmonicity), Said: b.Expanded(1), DoF: b.DoF,
			U: float64(b.U), Sensitivity: -per * f.b / float64(b.U), Assumed: b.Assumed,
			Correlations: corr,
		}
		if b.Assumed {
			stiff.Reach = Reach{stiff.U / 20, "heard"} // enough partials tell it to some per cent
		}
		terms = append(terms, stiff)
	}
	return terms
}

// check refuses ends that there are none of.
func (e Ends) check() error {
	if e < EndsUnknown || e > EndsClamped {
		return &InputError{What: "ends", Why: "is not one of those known",
			Fix: "use EndsUnknown, EndsPinned or EndsClamped"}
	}
	return nil
}
