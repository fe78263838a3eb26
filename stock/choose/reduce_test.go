package choose

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pluckweigh/physics"
)

// middling is a question too large for brute force, its strings in knots, so that
// much lies close together; positions may be alike.
func middling(t *rapid.T) Question {
	r := draws{t}
	q := randomQuestion(r)
	for range r.IntN(3) {
		q.Positions = append(q.Positions, q.Positions[0])
		if len(q.Wish.Targets) > 0 {
			q.Wish.Targets = append(q.Wish.Targets, q.Wish.Targets[0])
		}
	}
	knots := q.Strings
	for range r.IntN(40) {
		s := knots[r.IntN(len(knots))]
		s.UnitWeight.Value *= physics.UnitWeight(1 + 0.02*(r.Float64()-0.5))
		s.Left = 1 + r.IntN(2)
		q.Strings = append(q.Strings, s)
	}
	return q
}

// whole is all that stands on the shelves.
func (b *bench) whole() pool {
	out := make(pool, len(b.shelves))
	for p, s := range b.shelves {
		out[p] = b.fits(p, 0, len(s.of))
	}
	return out
}

// What is left out beforehand is in none of the best sets.
func TestWhatIsLeftOutDoesNotMatter(t *testing.T) {
	fewer := 0
	check(t, 200, func(t *rapid.T) {
		q := middling(t)
		b := newBench(q)
		in := b.cheapestIn
		if len(q.Wish.Targets) == 0 {
			in = b.evenIn
		}
		all := in(b.whole())
		want := ranked(1+q.Alternatives, func(r rules, _ worst) (solution, bool) { return all(r, unbounded) }, unbounded)
		solve, most := b.solver()
		got := ranked(1+q.Alternatives, solve, most)
		if len(want) != len(got) {
			t.Fatalf("%d sets, not %d", len(got), len(want))
		}
		for i := range want {
			x, y := want[i], got[i]
			if x.gap > 0 || y.gap > 0 {
				t.Fatalf("set %d is not proved", i)
			}
			near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*(1+math.Abs(a)) }
			if x.empty != y.empty || !near(x.spread, y.spread) || x.spread == y.spread && !near(x.cost, y.cost) {
				t.Fatalf("set %d: %d empty, spread %v, cost %v, not %d, %v, %v", i, y.empty, y.spread, y.cost, x.empty, x.spread, x.cost)
			}
		}
		for p, list := range b.whole() {
			if len(q.Wish.Targets) > 0 {
				break
			}
			if pool, _ := b.gathered(); len(pool[p]) < len(list) {
				fewer++
				break
			}
		}
	})
	if fewer < 10 {
		t.Errorf("something was left out %d times only", fewer)
	}
}

// The windows are those that looking at all ranges finds, and their limit leaves out the
// wider only.
func TestWindowsAreAllRanges(t *testing.T) {
	check(t, 200, func(t *rapid.T) {
		q := middling(t)
		q.Wish = Even(0, 0)
		b := newBench(q)
		full := b.lowest()
		filled := len(full) - emptyIn(full)
		if filled == 0 {
			t.SkipNow()
		}
		whole := b.whole()
		enough := func(r reach) bool {
			set, ok := b.best(whole.in(r), rules{}, byPull.weigh)
			return ok && len(set)-emptyIn(set) >= filled && (q.Limits.Total == 0 || pullOf(set) <= float64(q.Limits.Total))
		}
		var values []float64
		for _, s := range b.shelves {
			values = append(values, s.of...)
		}
		slices.Sort(values)
		values = slices.Compact(values)
		var want []reach
		from := 0
		for i, low := range values {
			j, _ := slices.BinarySearchFunc(values[max(from, i):], 0, func(v float64, _ int) int {
				if enough(reach{low, v}) {
					return 1
				}
				return -1
			})
			if from = max(from, i) + j; from == len(values) {
				break
			}
			r := reach{low, values[from]}
			if n := len(want); n > 0 && want[n-1].high == r.high {
				want[n-1] = r
			} else {
				want = append(want, r)
			}
		}
		var got []reach
		b.newWindow(b.rows(), rules{}, filled).each(func() float64 { return math.Inf(1) }, func(r reach) { got = append(got, r) })
		if !slices.Equal(got, want) {
			t.Fatalf("%v, not %v", got, want)
		}
		if len(want) == 0 {
			return
		}
		limit := want[rapid.IntRange(0, len(want)-1).Draw(t, "limit")].spread()
		got = nil
		b.newWindow(b.rows(), rules{}, filled).each(func() float64 { return limit }, func(r reach) { got = append(got, r) })
		want = slices.DeleteFunc(want, func(r reach) bool { return r.spread() > limit })
		if !slices.Equal(got, want) {
			t.Fatalf("up to %v: %v, not %v", limit, got, want)
		}
	})
}

// A shelf is sorted, and what is taken from it is what sorting all finds.
func TestShelves(t *testing.T) {
	check(t, 200, func(t *rapid.T) {
		q := middling(t)
		b := newBench(q)
		by := scale{rapid.Float64Range(0, 2).Draw(t, "share"), rapid.Float64Range(0, 300).Draw(t, "price")}
		n := rapid.IntRange(1, 12).Draw(t, "n")
		for p, s := range b.shelves {
			if !slices.IsSorted(s.of) {
				t.Fatalf("%v is not sorted", s.of)
			}
			all := b.fits(p, 0, len(s.of))
			slices.SortFunc(all, func(x, y fit) int { return cmp.Compare(by.weigh(x), by.weigh(y)) })
			got := b.lightest(p, n, by)
			if len(got) != min(n, len(all)) {
				t.Fatalf("%d fits, not %d of %d", len(got), n, len(all))
			}
			for i := range got {
				if w := by.weigh(all[i]); math.Abs(by.weigh(got[i])-w) > 1e-9*(1+w) {
					t.Fatalf("number %d weighs %v, not %v", i, by.weigh(got[i]), w)
				}
			}
			from := rapid.IntRange(0, len(s.of)).Draw(t, "from")
			to := rapid.IntRange(from, len(s.of)).Draw(t, "to")
			value := rapid.Float64Range(0, 200).Draw(t, "value")
			i, j := s.nearest(from, to, value, n)
			if i < from || j > to || j-i != min(n, to-from) {
				t.Fatalf("%d to %d of %d to %d", i, j, from, to)
			}
			for k := from; k < to; k++ {
				if k < i && math.Abs(s.of[k]-value) < math.Abs(s.of[j-1]-value) || k >= j && math.Abs(s.of[k]-value) < math.Abs(s.of[i]-value) {
					t.Fatalf("%v is nearer to %v than what was taken", s.of[k], value)
				}
			}
		}
	})
}
