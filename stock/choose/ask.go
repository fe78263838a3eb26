package choose

import (
	"fmt"
	"math"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Position is a place for one string on an instrument.
type Position struct {
	Note   string // what to call its note, such as "G2"
	F0     physics.Frequency
	Length physics.Measured[physics.Length] // speaking length
	Ends   physics.Ends
	Kind   traits.Kind // that is wanted there
	Slot   Slot
}

// A Slot is what diameters fit a position, both ends included; zero for no limit.
type Slot struct{ Least, Most physics.Length }

func (s Slot) fits(d physics.Length) bool { return d >= s.Least && (s.Most == 0 || d <= s.Most) }

// Limits are what a set must keep; zero for none.
type Limits struct {
	// MostLoad is the part that the core may carry of the lowest strength that the
	// standards have for its wire, such as 0.8.
	MostLoad physics.Fraction
	Total    physics.Force // of all pulls
}

// A Question is which strings of a stock an instrument should have.
type Question struct {
	Positions []Position
	Strings   []traits.String
	Wish      Wish
	Limits    Limits
	// Alternatives is how many of the next best sets are wanted besides.
	Alternatives int
}

// mostPositions is more strings than any instrument has.
const mostPositions = 300

// Check returns an *InputError for a question that cannot be answered.
func (q Question) Check() error {
	if len(q.Positions) == 0 {
		return &physics.InputError{What: "instrument", Why: "has no positions", Fix: "give each a speaking length and a note"}
	}
	if len(q.Positions) > mostPositions {
		return &physics.InputError{What: "instrument", Why: fmt.Sprintf("has more than %d positions", mostPositions)}
	}
	if q.Alternatives < 0 {
		return &physics.InputError{What: "number of alternatives", Why: "cannot be below zero"}
	}
	for i, p := range q.Positions {
		if err := p.check(i); err != nil {
			return err
		}
	}
	for i := range q.Strings {
		if err := q.Strings[i].Check(); err != nil {
			return err
		}
	}
	if !notNegative(float64(q.Limits.MostLoad)) || !notNegative(float64(q.Limits.Total)) {
		return &physics.InputError{What: "limit", Why: "must be above zero, or zero for none"}
	}
	return q.Wish.Check(q.Positions)
}

func (p Position) check(i int) error {
	name := fmt.Sprintf("position %d", i+1)
	if !(p.F0 > 0) || math.IsInf(float64(p.F0), 0) {
		return &physics.InputError{What: name, Why: "has no pitch", Fix: "give it a note"}
	}
	if p.Kind < traits.EitherKind || p.Kind > traits.Wound {
		return &physics.InputError{What: name, Why: "wants a kind of string that is not known"}
	}
	if !notNegative(float64(p.Slot.Least)) || !notNegative(float64(p.Slot.Most)) || p.Slot.Most != 0 && p.Slot.Most < p.Slot.Least {
		return &physics.InputError{What: name, Why: "has a slot that nothing fits", Fix: "its least diameter comes first"}
	}
	s := physics.Stretch{Length: p.Length, F0: physics.Stated(p.F0, 0), Ends: p.Ends}
	if _, err := s.Tension(physics.Stated[physics.UnitWeight](1e-3, 0)); err != nil {
		return &physics.InputError{What: name, Why: "is wrong: " + err.Error()}
	}
	return nil
}

func notNegative(x float64) bool { return x >= 0 && !math.IsInf(x, 0) }
