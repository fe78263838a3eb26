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

// Measure is what of a string a wish is about.
type Measure int

const (
	Pull Measure = iota
	// Push is the side force that pushes the string aside at mid-length by a depth,
	// 4Td/L + 8EAd³/L³: what it feels like, stiffness counted.
	Push
)

// A Wish is what the strings should be like. The zero value wishes for pulls that are
// as even as possible.
type Wish struct {
	Of    Measure
	Depth physics.Length // of a Push
	// Targets is what is wanted at each position. The best set has the least sum of
	// squares of what it is off by. Where there are none, the best set has the least
	// spread, from its lowest to its highest, and of those of one spread the least sum
	// of squares from Near.
	Targets []physics.Force
	// Near is what they should be near to where there are no targets; zero for any.
	Near physics.Force
	// Within is how far a string may be off its target, or off Near; zero for as far
	// as it takes. A position that no string can fill then stays empty.
	Within physics.Force
}

// Level wishes for the same at all of n positions.
func Level(n int, f physics.Force) Wish { return Slope(n, f, f) }

// Slope wishes for a straight line over n positions, from the first to the last.
func Slope(n int, first, last physics.Force) Wish {
	w := Wish{}
	for i := range n {
		t := 0.0
		if n > 1 {
			t = float64(i) / float64(n-1)
		}
		w.Targets = append(w.Targets, first+physics.Force(t)*(last-first))
	}
	return w
}

// Each wishes for a pull of its own at each position, as of another instrument.
func Each(pulls ...physics.Force) Wish { return Wish{Targets: pulls} }

// Even wishes for pulls as even as possible, within so much of a level.
func Even(near, within physics.Force) Wish { return Wish{Near: near, Within: within} }

// Pushed is the wish of side forces, in place of pulls, at a depth.
func (w Wish) Pushed(depth physics.Length) Wish {
	w.Of, w.Depth = Push, depth
	return w
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
	return q.Wish.check(len(q.Positions))
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

func (w Wish) check(positions int) error {
	if w.Of != Pull && w.Of != Push {
		return &physics.InputError{What: "wish", Why: "is about nothing known", Fix: "use Pull or Push"}
	}
	if w.Of == Push && (!(w.Depth > 0) || math.IsInf(float64(w.Depth), 0)) {
		return &physics.InputError{What: "wish", Why: "is of a push without a depth"}
	}
	if len(w.Targets) != 0 && len(w.Targets) != positions {
		return &physics.InputError{What: "wish", Why: fmt.Sprintf("is for %d positions, not for %d", len(w.Targets), positions),
			Fix: "give a value for each position, in their order"}
	}
	for _, t := range w.Targets {
		if !(t > 0) || math.IsInf(float64(t), 0) {
			return &physics.InputError{What: "wish", Why: "must be above zero at each position"}
		}
	}
	if !notNegative(float64(w.Near)) || !notNegative(float64(w.Within)) {
		return &physics.InputError{What: "wish", Why: "must be above zero, or zero for none"}
	}
	if len(w.Targets) == 0 && w.Within > 0 && w.Near == 0 {
		return &physics.InputError{What: "wish", Why: "is to be within something of nothing", Fix: "name the level that it is near"}
	}
	return nil
}

func notNegative(x float64) bool { return x >= 0 && !math.IsInf(x, 0) }
