package physics

import (
	"fmt"

	"gonum.org/v1/gonum/floats"
)

// Total is the sum of the pulls of a set. Of the terms of their budgets, those that
// common picks are off in all of them alike, as by one rule for all lengths, and add
// up as they stand, by the input's name; none where it is nil. All others are
// independent from string to string (JCGM 100:2008, 5.2.2 with r = 1, and eq. 10).
// Terms: the common inputs, and "string 1", "string 2" and so on for what is each
// one's own. The error is an *InputError.
func Total(pulls []Result[Force], common func(Term) bool) (Result[Force], error) {
	if len(pulls) == 0 {
		return Result[Force]{}, &InputError{What: "total pull", Why: "needs a string"}
	}
	sum := 0.0
	shared := map[string]*Term{}
	var names []string // in the order of their appearance
	var terms []Term
	models := make([]Model, len(pulls))
	for i, p := range pulls {
		if err := p.check(string(Pull)); err != nil {
			return Result[Force]{}, err
		}
		sum += float64(p.Value)
		var own []Term
		rests := fromResult(string(Pull), p)
		one := fmt.Sprintf("string %d", i+1)
		models[i] = rests.model.renamed(func(input string) string {
			if j := Budget(rests.terms).find(input); j >= 0 && common != nil && common(rests.terms[j]) {
				return input
			}
			return one + ", " + input
		})
		for _, t := range rests.terms {
			if common == nil || !common(t) {
				own = append(own, t)
				continue
			}
			if shared[t.Input] == nil {
				shared[t.Input] = &Term{Input: t.Input, Said: "off alike for all", Sensitivity: 1, DoF: t.DoF, Assumed: t.Assumed}
				names = append(names, t.Input)
			}
			shared[t.Input].U += t.Sensitivity * t.U // made positive below
		}
		alone, err := conclude(string(Pull), p.Value, p.Unit, own...)
		if err != nil {
			return Result[Force]{}, err
		}
		terms = append(terms, Term{Input: one, Said: alone.Expanded(1), U: float64(alone.U), DoF: alone.DoF, Sensitivity: 1})
	}
	for _, name := range names {
		t := *shared[name]
		if t.U < 0 {
			t.U, t.Sensitivity = -t.U, -1
		}
		terms = append(terms, t)
	}
	r, err := conclude("total pull", Force(sum), pulls[0].Unit, terms...)
	if err == nil {
		r.Model = compose(func(x ...float64) float64 { return floats.Sum(x) }, models...)
	}
	return r, err
}

// OneBench picks what is off alike in all pulls that one person measures with one
// rule and one recorder, for Total: those two, and what was assumed and not
// measured.
func OneBench(t Term) bool {
	return t.Assumed || t.Input == string(SpeakingLength) || t.Input == "recorder clock"
}
