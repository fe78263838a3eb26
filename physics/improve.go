package physics

import (
	"cmp"
	"math"
	"slices"
)

// A Reach is how well an input could be known with some care.
type Reach struct {
	U    float64 // standard uncertainty of the input, in its SI unit
	Said string  // what it takes, for a person; empty where nothing better is in reach
}

// An Improvement is what a result would be worth with one input known better.
type Improvement struct {
	Input string
	Reach Reach
	U     float64 // the result's standard uncertainty then, SI
	Said  string  // for a person, with expanded uncertainties, k = Coverage
}

// With is the standard uncertainty of the result if that of one input were u, all
// else being equal, in the result's SI unit. It is that of the budget as it is for
// an input that is not in it. The error is an *InputError for a u that cannot be.
func (b Budget) With(input string, u float64) (float64, error) {
	if err := checkU(input, u); err != nil {
		return 0, err
	}
	changed := slices.Clone(b)
	for i := range changed {
		if changed[i].Input == input {
			changed[i].U = u
		}
	}
	return changed.combine("result")
}

// worthwhile is the least fraction by which the result's uncertainty must shrink
// for an improvement to be proposed.
const worthwhile = 0.03

// Improvements lists what could be known better and is worth it, the most helpful
// first: each input by itself, all else being equal.
func (r Result[Q]) Improvements() []Improvement {
	var out []Improvement
	value := math.Abs(float64(r.Value))
	for _, t := range r.Budget {
		if t.Reach.Said == "" || r.Value == 0 {
			continue
		}
		u, err := r.Budget.With(t.Input, t.Reach.U)
		if err != nil || !(u < (1-worthwhile)*float64(r.U)) {
			continue
		}
		now, then := percent(Coverage*float64(r.U)/value), percent(Coverage*u/value)
		if now == then {
			continue // too little to be seen
		}
		out = append(out, Improvement{Input: t.Input, Reach: t.Reach, U: u, Said: t.Reach.Said + ": " + now + " becomes " + then})
	}
	slices.SortStableFunc(out, func(a, b Improvement) int { return cmp.Compare(a.U, b.U) })
	return out
}

// percent prints an expanded uncertainty relative to its value: "± 0.42 %".
func percent(fraction float64) string {
	return "± " + atPlace(100*fraction, exponent(100*fraction)-1) + " %"
}

// reach is how well a quantity could be known in this role; nothing where it is
// known as well already.
func (r Role[Q]) reach(m Measured[Q]) Reach {
	use := r.usage()
	out := Reach{use.reach, "known to ± " + Format(Q(use.reach), m.Unit, 2)}
	if relative := use.reachRelative * float64(m.Value); relative > use.reach {
		out = Reach{relative, "known to ± " + significant(100*use.reachRelative, 2) + " %"}
	}
	if float64(m.U) <= out.U || out.U == 0 {
		return Reach{}
	}
	return out
}
