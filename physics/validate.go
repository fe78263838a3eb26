package physics

import "math"

// A Validation tells whether a linear budget holds against a Monte Carlo
// propagation of the same inputs (JCGM 101:2008, 8.1).
type Validation struct {
	Propagation
	// Linear is the coverage interval of the same probability that the budget
	// gives: the value and so many standard uncertainties to either side.
	Linear Interval
	// Tolerance is δ, half of the last digit of the standard uncertainty that is
	// taken to mean something.
	Tolerance float64
	// Agrees tells that the ends of Linear and of Shortest differ by no more than
	// the tolerance.
	Agrees bool
}

// MonteCarlo propagates the result's model, Draws times, for intervals that cover
// 95 %, and compares them with the budget's, the first of the uncertainty's digits
// taken to mean something. The error is an *InputError; it is one for a result that
// has no model.
func (r Result[Q]) MonteCarlo() (Validation, error) {
	p, err := r.Model.Propagate(Draws, 0.95, 1)
	if err != nil {
		return Validation{}, err
	}
	return r.Validate(p, 1), nil
}

// Validate compares the result with a propagation, so many digits of its standard
// uncertainty taken to mean something.
func (r Result[Q]) Validate(p Propagation, digits int) Validation {
	half := r.CoverageFactor(p.P) * float64(r.U)
	v := Validation{
		Propagation: p,
		Linear:      Interval{float64(r.Value) - half, float64(r.Value) + half},
		Tolerance:   tolerance(float64(r.U), digits),
	}
	v.Agrees = math.Abs(v.Linear.Low-v.Shortest.Low) <= v.Tolerance && math.Abs(v.Linear.High-v.Shortest.High) <= v.Tolerance
	return v
}

// tolerance is half of the last of so many digits of u (JCGM 101:2008, 7.9.2): u is
// written as c·10^l, c a whole number of so many digits, and half of 10^l taken.
func tolerance(u float64, digits int) float64 {
	if !(u > 0) {
		return 0
	}
	return 0.5 * math.Pow10(leading(u, digits)-digits+1)
}

// Holds tells whether the budget's interval holds that of the propagation, up to
// the tolerance: where they differ, it errs on the safe side.
func (v Validation) Holds() bool {
	return v.Linear.Low <= v.Shortest.Low+v.Tolerance && v.Linear.High >= v.Shortest.High-v.Tolerance
}
