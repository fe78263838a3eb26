package physics

import (
	"cmp"
	"math"
	"slices"
)

// A Term is what one input contributes to the uncertainty of a result
// (JCGM 100:2008, 5.1 and 5.2).
type Term struct {
	Input       string  // such as "speaking length"
	Said        string  // the input and its standard uncertainty, for a person
	U           float64 // standard uncertainty of the input, in its SI unit
	Sensitivity float64 // ∂result/∂input, SI
	// DoF is the degrees of freedom of U; 0 for as many as one likes, as of an
	// uncertainty that was stated and not estimated from scatter (Type B).
	DoF float64
	// Correlations are those with other inputs of the budget, each pair named at
	// one of the two; those not named are independent.
	Correlations []Correlation
	Share        float64 // of the result's variance; the shares sum to 1
	Assumed      bool    // the uncertainty is a default that nobody stated
	Even         bool    // the input is anywhere within limits, as likely here as there
	// Shift is how far the result lies above what it would be without what this
	// input corrects for, SI; 0 where it corrects for nothing.
	Shift float64
	// Reach is how well the input could be known.
	Reach Reach
}

// A Correlation is the correlation coefficient with another input.
type Correlation struct {
	With string  // the other input
	R    float64 // from −1 to 1
}

// Contribution is the standard uncertainty of the result due to this input
// alone, in the result's SI unit.
func (t Term) Contribution() float64 { return math.Abs(t.Sensitivity) * t.U }

// A Budget lists what a result's uncertainty comes from, the largest share
// first. Shares are all zero where no input has an uncertainty.
//
// What two correlated inputs have in common, 2r·c₁u₁·c₂u₂ (JCGM 100:2008,
// eq. 13), is shared out between the two as their own variances are, so that of a
// pair that is correlated with nothing else no share is ever negative.
type Budget []Term

// A Result is a computed quantity with its standard uncertainty, and what that
// comes from. Its degrees of freedom are the effective ones.
type Result[Q Quantity] struct {
	Measured[Q]
	Budget Budget
	// Model is what the result is computed by, for Result.MonteCarlo; zero where
	// that is no formula.
	Model Model
}

// conclude combines the terms into the result's standard uncertainty by the law
// of propagation (JCGM 100:2008, eq. 10 and 13). It refuses a result that
// overflowed or vanished.
func conclude[Q Quantity](what string, value, unit Q, terms ...Term) (Result[Q], error) {
	u, err := Budget(terms).combine(what)
	if err != nil {
		return Result[Q]{}, err
	}
	if err := checkPositive(what, float64(value)); err != nil {
		return Result[Q]{}, err
	}
	if err := checkU(what, u); err != nil {
		return Result[Q]{}, err
	}
	slices.SortStableFunc(terms, func(a, b Term) int { return cmp.Compare(b.Share, a.Share) })
	m := Measured[Q]{Value: value, U: Q(u), Unit: unit, DoF: Budget(terms).freedom()}
	return Result[Q]{Measured: m, Budget: terms}, nil
}

// combine is the standard uncertainty that the terms make together. It sets their
// shares. The error is an *InputError that names the result.
func (b Budget) combine(what string) (float64, error) {
	// Contributions are taken relative to the largest: their squares neither
	// overflow nor vanish.
	var largest float64
	for i, t := range b {
		largest = max(largest, t.Contribution())
		for _, c := range t.Correlations {
			if j := b.find(c.With); j < 0 || j == i || !(math.Abs(c.R) <= 1) {
				return 0, &InputError{What: what, Why: "cannot have " + t.Input + " correlated by " + number(c.R) + " with " + c.With,
					Fix: "name another input and a coefficient from -1 to 1"}
			}
		}
	}
	if !(largest > 0) || math.IsInf(largest, 0) {
		for i := range b {
			b[i].Share = 0
		}
		return largest, nil
	}
	part := func(t Term) float64 { return t.Sensitivity / largest * t.U }
	sum := 0.0
	for i, t := range b {
		b[i].Share = part(t) * part(t)
		sum += b[i].Share
	}
	for i, t := range b {
		for _, c := range t.Correlations {
			j := b.find(c.With)
			x, y := part(t), part(b[j])
			own := x * x / (x*x + y*y)
			if math.IsNaN(own) {
				continue // both vanish
			}
			common := 2 * c.R * x * y
			b[i].Share += common * own
			b[j].Share += common * (1 - own)
			sum += common
		}
	}
	const rounding = 1e-12 // of contributions that cancel, relative to the largest
	if sum < -rounding {
		return 0, &InputError{What: what, Why: "has inputs whose correlations contradict each other"}
	}
	if sum <= rounding {
		sum = 0 // they cancel
	}
	for i := range b {
		if sum > 0 {
			b[i].Share /= sum
		} else {
			b[i].Share = 0
		}
	}
	return largest * math.Sqrt(sum), nil
}

// find is the place of an input in the budget, negative where it is not there.
func (b Budget) find(input string) int {
	return slices.IndexFunc(b, func(t Term) bool { return t.Input == input })
}

// power is the term of an input that the result is proportional to a power of.
func power[Q Quantity](input string, m Measured[Q], result, exponent float64) Term {
	return slope(input, m, exponent*result/float64(m.Value))
}

// slope is the term of an input by which the result changes so much. Where the
// input's name is that of a Role, the role says how well it could be known.
func slope[Q Quantity](input string, m Measured[Q], by float64) Term {
	said := m.Expanded(1)
	if m.From != "" {
		said += ", " + m.From
	}
	return Term{
		Input:       input,
		Said:        said,
		U:           float64(m.U),
		Sensitivity: by,
		DoF:         m.DoF,
		Assumed:     m.Assumed,
		Even:        Role[Q](input).even(m),
		Reach:       Role[Q](input).reach(m),
	}
}
