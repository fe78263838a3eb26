package physics

import (
	"cmp"
	"math"
	"slices"
)

// A Term is what one input contributes to the uncertainty of a result
// (JCGM 100:2008, 5.1). The inputs of a budget are independent.
type Term struct {
	Input       string  // such as "speaking length"
	Said        string  // the input and its standard uncertainty, for a person
	U           float64 // standard uncertainty of the input, in its SI unit
	Sensitivity float64 // ∂result/∂input, SI
	Share       float64 // of the result's variance; the shares sum to 1
	Assumed     bool    // the uncertainty is a default that nobody stated
	// Shift is how far the result lies above what it would be without what this
	// input corrects for, SI; 0 where it corrects for nothing.
	Shift float64
}

// Contribution is the standard uncertainty of the result due to this input
// alone, in the result's SI unit.
func (t Term) Contribution() float64 { return math.Abs(t.Sensitivity) * t.U }

// A Budget lists what a result's uncertainty comes from, the largest share
// first. Shares are all zero where no input has an uncertainty.
type Budget []Term

// A Result is a computed quantity with its standard uncertainty, and what that
// comes from.
type Result[Q Quantity] struct {
	Measured[Q]
	Budget Budget
}

// conclude combines the terms into the result's standard uncertainty by the law
// of propagation (JCGM 100:2008, eq. 10). It refuses a result that overflowed
// or vanished.
func conclude[Q Quantity](what string, value, unit Q, terms ...Term) (Result[Q], error) {
	// Contributions are taken relative to the largest: their squares neither
	// overflow nor vanish.
	var largest, sum float64
	for _, t := range terms {
		largest = max(largest, t.Contribution())
	}
	if largest > 0 {
		for i := range terms {
			c := terms[i].Contribution() / largest
			terms[i].Share = c * c
			sum += c * c
		}
		for i := range terms {
			terms[i].Share /= sum
		}
	}
	u := largest * math.Sqrt(sum)
	if err := checkPositive(what, float64(value)); err != nil {
		return Result[Q]{}, err
	}
	if err := checkU(what, u); err != nil {
		return Result[Q]{}, err
	}
	slices.SortStableFunc(terms, func(a, b Term) int { return cmp.Compare(b.Share, a.Share) })
	return Result[Q]{Measured[Q]{Value: value, U: Q(u), Unit: unit}, terms}, nil
}

// power is the term of an input that the result is proportional to a power of.
func power[Q Quantity](input string, m Measured[Q], result, exponent float64) Term {
	return Term{
		Input:       input,
		Said:        m.Expanded(1),
		U:           float64(m.U),
		Sensitivity: exponent * result / float64(m.Value),
		Assumed:     m.Assumed,
	}
}
