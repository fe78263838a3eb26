package physics

import (
	"math"
	"slices"
)

// A source is an input of a result that is worked out by derive.
type source struct {
	value float64
	terms []Term // what its uncertainty comes from
	model Model  // what it is computed by, zero where that is no formula
}

// from is an input of its own. Without an uncertainty it is what somebody asks
// after, and has no term.
func from[Q Quantity](input string, m Measured[Q]) source {
	s := source{value: float64(m.Value), model: exactly(float64(m.Value))}
	if m.U > 0 {
		s.terms, s.model = []Term{slope(input, m, 1)}, Role[Q](input).input(m).itself()
	}
	return s
}

// fromResult is an input that was worked out itself: what it rests on is what the
// new result rests on.
func fromResult[Q Quantity](input string, r Result[Q]) source {
	if len(r.Budget) == 0 {
		return from(input, r.Measured)
	}
	return source{float64(r.Value), r.Budget, r.Model}
}

// A derived is a law worked out at its sources.
type derived struct {
	value float64
	terms []Term
	model Model
}

// derive works out a law at its sources, and the terms of its budget: slopes by
// central differences, carried on to what the sources rest on by the chain rule.
// What several sources rest on, as a pull and a deflection do on one length, is
// known by its name and counts once, with the sum of the slopes.
func derive(law func(x ...float64) float64, sources ...source) derived {
	const step = 1e-5 // relative: the error of the slopes is about its square
	x := make([]float64, len(sources))
	models := make([]Model, len(sources))
	for i, s := range sources {
		x[i], models[i] = s.value, s.model
	}
	d := derived{value: law(x...), model: compose(law, models...)}
	for i, s := range sources {
		if len(s.terms) == 0 {
			continue
		}
		step := step * x[i]
		if step == 0 {
			step = s.terms[0].U // what is zero but for its uncertainty
		}
		moved := func(by float64) float64 {
			at := slices.Clone(x)
			at[i] += by
			return law(at...)
		}
		slope := (moved(step) - moved(-step)) / (2 * step)
		for _, t := range s.terms {
			t.Sensitivity *= slope
			t.Share, t.Shift = 0, 0
			if j := slices.IndexFunc(d.terms, func(o Term) bool { return o.Input == t.Input }); j >= 0 {
				d.terms[j].Sensitivity += t.Sensitivity
				continue
			}
			d.terms = append(d.terms, t)
		}
	}
	return d
}

// concludeDerived is conclude for what was derived.
func concludeDerived[Q Quantity](what string, d derived, unit Q) (Result[Q], error) {
	r, err := conclude(what, Q(d.value), unit, d.terms...)
	if err == nil {
		r.Model = d.model
	}
	return r, err
}

// concludeChange is concludeDerived for a result that may have either sign, or be none.
func concludeChange[Q Quantity](what string, d derived, unit Q) (Result[Q], error) {
	if math.IsNaN(d.value) || math.IsInf(d.value, 0) {
		return Result[Q]{}, &InputError{What: what, Why: "must be finite, not " + number(d.value)}
	}
	r, err := conclude(what, 1, unit, d.terms...)
	if err != nil {
		return Result[Q]{}, err
	}
	r.Value, r.Model = Q(d.value), d.model
	return r, nil
}

// Traced is the result with an input of its budget traced back to what that rests
// on itself, such as a unit weight to a gauge and a density. The error is an
// *InputError.
func Traced[Q, P Quantity](r Result[Q], input string, on Result[P]) (Result[Q], error) {
	var terms []Term
	for _, t := range r.Budget {
		if t.Input != input {
			terms = append(terms, t)
			continue
		}
		for _, under := range on.Budget {
			under.Sensitivity *= t.Sensitivity
			terms = append(terms, under)
		}
	}
	traced, err := conclude("result", r.Value, r.Unit, terms...)
	if err == nil {
		traced.Model = r.Model.replaced(input, on.Model)
	}
	return traced, err
}
