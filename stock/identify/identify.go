package identify

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Question is which of some strings was measured.
type Question struct {
	// Evidence is what was measured of unit weight, outside diameter and stiffness, by
	// any route; what is not known is all zero. Evidence.Heard adds the stiffness to a
	// unit weight. Its other fields are not used.
	Evidence physics.Evidence
	// Rough is the stiffness as heard where that is known too roughly to be Evidence's: it
	// may be zero within its uncertainty. All zero where nothing was heard.
	Rough   physics.Measured[physics.BendingStiffness]
	Kind    traits.Kind // as seen
	Strings []traits.String
	// Copies is by how much one copy of a string differs from the next in unit weight, as
	// a relative standard deviation; in diameter half as much, in stiffness twice. 0
	// where it is one of the very strings that were measured.
	Copies float64
	// None is how likely it is, before anything is measured, that the string is none of
	// these; 0 for one in five. All strings are equally likely before.
	None float64
}

// An Answer is how likely it is that the string measured is one of those asked for.
type Answer struct {
	Candidates []Candidate // the likeliest first
	None       float64     // how likely it is that it is none of them
	Next       []Test      // what to measure next, the most telling first
	// Wires are what it is if it is plain and none of them, and Plain is how likely it is
	// plain if it is none of them. There are no wires where none explains what was measured.
	Wires []Wire
	Plain float64
	// OfWire is what to measure next where these are open, the most telling first.
	OfWire []Test
}

// Surely is a probability from which on an answer is taken to be right.
const Surely = 0.95

// Settled tells whether one answer has at least that: the index of a string, or -1 for
// none of them.
func (a Answer) Settled() (string int, ok bool) {
	if len(a.Candidates) > 0 && a.Candidates[0].Probability >= Surely {
		return a.Candidates[0].String, true
	}
	return -1, a.None >= Surely
}

// A Candidate is a string with its probability.
type Candidate struct {
	String      int // index
	Probability float64
	// Agrees is how likely errors are, of it being that string, to put what was measured at
	// least as far off; 1 where nothing was measured that is known of it.
	Agrees float64
}

// Doubtful tells whether it is hard to believe that what was measured is of that string, be
// it the likeliest: there may be others like it that nobody has in mind.
func (c Candidate) Doubtful() bool { return c.Agrees < hardly }

// hardly is a probability that is hard to believe (judgement).
const hardly = 0.01

// rarest is the probability below which a string is not listed, but for the likeliest few
// where all are so rare.
const (
	rarest = 1e-4
	fewest = 5
)

// usualNone is the None of a question that names none (judgement: to take a stranger for
// one's own string is the worse mistake, since what is measured then is kept with a wrong one).
const usualNone = 0.2

// Answer finds how likely each string is. The error is an *InputError, also where what was
// measured can be of no string.
func (q Question) Answer() (Answer, error) {
	if err := q.check(); err != nil {
		return Answer{}, err
	}
	p, w, explained := q.posterior()
	if !explained {
		return Answer{}, w.contradiction()
	}
	a := Answer{Candidates: likeliest(p[:len(p)-1], rarest), None: p[len(p)-1]}
	listed := a.None
	for _, c := range a.Candidates {
		listed += c.Probability
	}
	if len(a.Candidates) < fewest && listed < 1-rarest {
		a.Candidates = likeliest(p[:len(p)-1], 0)
		a.Candidates = a.Candidates[:min(fewest, len(a.Candidates))]
	}
	for i := range a.Candidates {
		a.Candidates[i].Agrees = w.agrees(a.Candidates[i].String)
	}
	a.Next = w.next(a, p)
	a.Wires, a.Plain = w.wires(), 1-w.woundShare(w.Kind, &normal{})
	a.OfWire = w.nextOfWire(a.Wires)
	return a, nil
}

// likeliest lists strings of more than a probability, the likeliest first.
func likeliest(p []float64, than float64) (out []Candidate) {
	for i, pi := range p {
		if pi > than {
			out = append(out, Candidate{String: i, Probability: pi})
		}
	}
	slices.SortStableFunc(out, func(x, y Candidate) int { return cmp.Compare(y.Probability, x.Probability) })
	return out
}

func (q Question) check() error {
	if !(q.None >= 0 && q.None < 1) {
		return &physics.InputError{What: "probability of none of these", Why: "must lie between 0 and 1"}
	}
	if !(q.Copies >= 0 && q.Copies <= roughest) {
		return &physics.InputError{What: "difference of copies", Why: "must lie between 0 and a quarter"}
	}
	if q.Kind < traits.EitherKind || q.Kind > traits.Wound {
		return &physics.InputError{What: "kind", Why: "is not one of those known"}
	}
	e := q.Evidence
	known := 0
	for _, m := range []struct {
		what     string
		value, u float64
	}{
		{"unit weight", float64(e.UnitWeight.Value), float64(e.UnitWeight.U)},
		{"outside diameter", float64(e.Outside.Value), float64(e.Outside.U)},
		{"bending stiffness", float64(e.Stiffness.Value), float64(e.Stiffness.U)},
	} {
		if m.value == 0 && m.u == 0 {
			continue
		}
		known++
		if !(m.value > 0) || math.IsInf(m.value, 0) || !(m.u >= 0) {
			return &physics.InputError{What: m.what, Why: "must be a number above zero with its uncertainty"}
		}
		if m.u > roughest*m.value {
			return &physics.InputError{What: m.what, Why: "is known to worse than a quarter", Fix: "measure it closer, or leave it out"}
		}
	}
	if known == 0 {
		return &physics.InputError{What: "evidence", Why: "is missing", Fix: "give a unit weight, a diameter or what was heard under a known pull"}
	}
	if r := q.Rough; !(r.Value >= 0 && r.U >= 0) || math.IsInf(float64(r.Value+r.U), 0) || r.Value > 0 && r.U == 0 {
		return &physics.InputError{What: "rough stiffness", Why: "must be a number with its uncertainty"}
	}
	if q.Rough.U > 0 && e.Stiffness.Value > 0 {
		return &physics.InputError{What: "rough stiffness", Why: "is given beside a better one", Fix: "leave one of the two out"}
	}
	if !(math.Abs(e.Correlation) <= 1) {
		return &physics.InputError{What: "correlation", Why: "must lie between -1 and 1"}
	}
	for i := range q.Strings {
		s := &q.Strings[i]
		if err := s.CheckKnown(); err != nil {
			return err
		}
		if !Known(s) {
			return &physics.InputError{What: fmt.Sprintf("string %q", s.Name), Why: "is not known by anything", Fix: "leave it out"}
		}
	}
	return nil
}

// Known tells whether anything is known of a string that it could be recognised by.
func Known(s *traits.String) bool {
	return s.UnitWeight.Value != 0 || s.Outside.Value != 0 || s.Stiffness.Value != 0 || s.Cored()
}

// roughest is a relative standard uncertainty up to which errors of a logarithm pass
// for normal.
const roughest = 0.25
