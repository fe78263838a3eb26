package choose

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"pluckweigh/physics"
)

// contestedQuestion is of five or six positions that want the same few strings, of which
// there are one or two each, with a total between the least that fills as many positions as
// can be and what the best set pulls without a limit.
func contestedQuestion(r draws) Question {
	q := randomQuestion(r)
	for len(q.Positions) < 5+r.IntN(2) {
		like := q.Positions[r.IntN(len(q.Positions))]
		like.F0 *= physics.Frequency([]float64{1, 1, 1.01}[r.IntN(3)])
		q.Positions = append(q.Positions, like)
	}
	for len(q.Strings) < 5+r.IntN(4) {
		like := q.Strings[r.IntN(len(q.Strings))]
		like.UnitWeight.Value *= physics.UnitWeight(0.9 + 0.2*r.Float64())
		q.Strings = append(q.Strings, like)
	}
	for i := range q.Strings {
		q.Strings[i].Left = 1 + r.IntN(4)/3
	}
	q.Limits = Limits{}
	q.Wish = Slope(q.Positions, physics.Force(60+60*r.Float64()), physics.Force(60+60*r.Float64()))
	if r.IntN(3) == 0 {
		q.Wish.Within = physics.Force(40 + 100*r.Float64())
	}
	return q
}

// Where many want the same strings and the total is limited, no way to string the instrument
// is better either.
func TestContestedIsBest(t *testing.T) {
	searched := 0
	check(t, 100, func(t *rapid.T) {
		r := draws{t}
		q := contestedQuestion(r)
		free, err := q.Best()
		if err != nil || free.Filled() == 0 {
			t.SkipNow()
		}
		least := pullOf(newBench(q).lowest())
		// Nothing pulls just as much: that would be a matter of rounding.
		total := least + (float64(free.Total.Value)-least)*(0.0013+0.9971*r.Float64())
		if total < least*(1+1e-9) {
			t.SkipNow()
		}
		q.Limits.Total = physics.Force(total)
		full, want := math.MaxInt, math.Inf(1)
		everySet(q, func(_ []int, j judged) {
			if j.total > total || j.empty > full {
				return
			}
			if j.empty < full {
				full, want = j.empty, math.Inf(1)
			}
			want = min(want, j.cost)
		})
		got, err := q.Best()
		if err != nil {
			t.Fatalf("%v, though there is a set", err)
		}
		cost := float64(got.Objective*got.Objective) * float64(got.Filled())
		if got.Gap > 0 || len(q.Positions)-got.Filled() != full || math.Abs(cost-want) > 1e-9*(1+want) {
			t.Fatalf("%d empty at %v, not %d at %v, of %+v", len(q.Positions)-got.Filled(), cost, full, want, q)
		}
		if free.Total.Value > q.Limits.Total {
			searched++
		}
	})
	t.Logf("the limit mattered %d times", searched)
	if searched < 20 {
		t.Errorf("the limit mattered %d times only", searched)
	}
}
