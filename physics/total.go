package physics

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Total is the sum of the pulls of a set. Of the terms of their budgets, those that
// common picks are off in all of them alike, as by one rule for all lengths, and add
// up as they stand, by the input's name; none where it is nil. All others are
// independent from string to string (JCGM 100:2008, 5.2.2 with r = 1, and eq. 10).
// Terms: the common inputs, and "string 1", "string 2" and so on for what is each
// one's own. The error is an *InputError.
func Total(pulls []Result[Force], common func(Term) bool) (Result[Force], error) {
	d, err := weighted("total pull", pulls, nil, common)
	if err != nil {
		return Result[Force]{}, err
	}
	return concludeDerived("total pull", d, pulls[0].Unit)
}

// Spread is by how much the strongest pull of a set is above the weakest, with common as
// for Total: what is off alike in both takes itself out in part. It is the difference of
// the two strings that come out as these, which of others within their uncertainty may be
// them in truth; of a set that is even within its uncertainties it tells too much. The
// error is an *InputError.
func Spread(pulls []Result[Force], common func(Term) bool) (Result[Force], error) {
	const what = "spread of the pulls"
	if len(pulls) < 2 {
		return Result[Force]{}, &InputError{What: what, Why: "needs two strings"}
	}
	byValue := func(a, b Result[Force]) int { return cmp.Compare(a.Value, b.Value) }
	d, err := weighted(what, []Result[Force]{slices.MaxFunc(pulls, byValue), slices.MinFunc(pulls, byValue)}, []float64{1, -1}, common)
	if err != nil {
		return Result[Force]{}, err
	}
	return concludeChange(what, d, pulls[0].Unit)
}

// weighted is the sum of pulls, each times its weight; nil for 1 each.
func weighted(what string, pulls []Result[Force], weights []float64, common func(Term) bool) (derived, error) {
	if len(pulls) == 0 {
		return derived{}, &InputError{What: what, Why: "needs a string"}
	}
	if weights == nil {
		weights = slices.Repeat([]float64{1}, len(pulls))
	}
	sum := 0.0
	shared := map[string]*Term{}
	var names []string // in the order of their appearance
	var terms []Term
	models := make([]Model, len(pulls))
	for i, p := range pulls {
		if err := p.check(string(Pull)); err != nil {
			return derived{}, err
		}
		sum += weights[i] * float64(p.Value)
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
			shared[t.Input].U += weights[i] * t.Sensitivity * t.U // made positive below
		}
		alone, err := conclude(string(Pull), p.Value, p.Unit, own...)
		if err != nil {
			return derived{}, err
		}
		terms = append(terms, Term{Input: one, Said: alone.Expanded(1), U: float64(alone.U), DoF: alone.DoF, Sensitivity: weights[i]})
	}
	for _, name := range names {
		t := *shared[name]
		if t.U < 0 {
			t.U, t.Sensitivity = -t.U, -1
		}
		terms = append(terms, t)
	}
	return derived{value: sum, terms: terms, model: compose(func(x ...float64) float64 { return floats.Dot(x, weights) }, models...)}, nil
}

// OneBench picks what is off alike in all pulls that one person measures with one
// rule and one recorder, for Total: those two, and what was assumed and not
// measured.
func OneBench(t Term) bool {
	return t.Assumed || t.Input == string(SpeakingLength) || t.Input == "recorder clock"
}
