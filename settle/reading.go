package settle

import (
	"fmt"
	"math"

	"pluckweigh/physics"
)

// A Reading is a pitch at a moment.
type Reading struct {
	At    float64 // s after any moment that all share
	Cents float64 // above any pitch that all share
	U     float64 // standard uncertainty of Cents, above zero
	// Warmer is the temperature, in kelvin above any that all share. It counts only
	// where what warmth does is told too.
	Warmer float64
}

// A Warmth is by how many cents a string's pitch moves per kelvin, and the standard
// uncertainty of that. It is the same for all readings, so that it is fitted with the
// rest, this being what was known beforehand.
type Warmth struct{ Cents, U float64 }

// Least is the smallest number of readings that anything is told of.
const Least = 3

// A TooFewError says that there are fewer readings than Least.
type TooFewError struct{ N int }

func (e *TooFewError) Error() string {
	if e.N == 1 {
		return "one reading says where the pitch is, not whether it stays"
	}
	return fmt.Sprintf("%d readings are too few to say whether the pitch stays", e.N)
}

// Hint says what to do.
func (e *TooFewError) Hint() string {
	return fmt.Sprintf("pluck at least %d times, better a dozen over as long as you want it to hold", Least)
}

// check returns a *TooFewError or an *physics.InputError for readings that nothing can
// be told of.
func check(all []Reading, w *Warmth) error {
	finite := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	for i, r := range all {
		bad := func(why, fix string) error {
			return &physics.InputError{What: fmt.Sprintf("reading %d", i+1), Why: why, Fix: fix}
		}
		switch {
		case !finite(r.At) || !finite(r.Cents):
			return bad("is no number", "leave it out")
		case !(r.U > 0) || !finite(r.U):
			return bad("has no standard uncertainty", "give one above zero, k = 1")
		case w != nil && !finite(r.Warmer):
			return bad("has no temperature, and others have", "give one to each, or to none")
		case i > 0 && r.At < all[i-1].At:
			return bad("is before the one that stands before it", "put them in the order of time, or correct the date")
		}
	}
	switch {
	case w != nil && !(finite(w.Cents) && w.U >= 0 && finite(w.U)):
		return &physics.InputError{What: "what warmth does", Why: "is no number with an uncertainty"}
	case len(all) < Least:
		return &TooFewError{len(all)}
	}
	return nil
}
