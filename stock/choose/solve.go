package choose

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
)

// A solution is a set of least worth under some rules.
type solution struct {
	rules
	set    []fit
	empty  int
	spread float64 // counts where evenness is wished for
	cost   float64
	gap    float64 // by how much cost may be above the least

	// rest finds the set, if only empty and spread are known yet; then cost is below any.
	rest func() (solution, bool)
}

// compare is by what a wish minds: positions that stay empty, then the spread, then
// the cost.
func (s solution) compare(t solution) int {
	return cmp.Or(cmp.Compare(s.empty, t.empty), cmp.Compare(s.spread, t.spread), cmp.Compare(s.cost, t.cost))
}

// Fits are weighed by what they are off the wish, or by what they pull.
var (
	byCost = scale{share: 1}
	byPull = scale{price: 1}
)

// A worst is what none of the sets that are wanted is worse than: wider spread where evenness
// is wished for, and dearer where it is not.
type worst struct{ spread, cost float64 }

// unbounded is no worst at all.
var unbounded = worst{math.Inf(1), math.Inf(1)}

// A solver finds the best set under rules, those that a set which is wanted besides may have
// to keep. It need not find one that is worse than so.
type solver func(r rules, upper worst) (solution, bool)

// solver makes one ready, and says what none of the sets that are wanted is worse than.
func (b *bench) solver() (solver, worst) {
	if len(b.Wish.Targets) == 0 {
		pool, widest := b.gathered()
		return b.evenIn(pool), worst{widest * (1 + 1e-9), math.Inf(1)} // what rounding may take away
	}
	if b.Limits.Total > 0 {
		pool, most := b.affordable()
		return b.cheapestIn(pool), worst{math.Inf(1), most}
	}
	// The others, and what is barred, take at most all but one of these.
	return b.cheapestIn(b.lightestOfAll(len(b.Positions)+b.Alternatives, byCost)), unbounded
}

// cheapestIn finds sets of least cost in a pool.
func (b *bench) cheapestIn(l pool) solver {
	return func(r rules, upper worst) (solution, bool) {
		set, gap, ok := b.within(l, r, byCost.weigh, upper.cost)
		return solution{rules: r, set: set, empty: emptyIn(set), cost: sum(set, byCost.weigh), gap: gap}, ok
	}
}

// evenIn finds sets of least spread in a pool that is sorted, whatever they cost. What the
// spread is, is soon known, and of most sets that is enough.
func (b *bench) evenIn(l pool) solver {
	return func(r rules, upper worst) (solution, bool) {
		within := l.keeping(r)
		full, spans := b.narrowest(within, r, upper.spread)
		s := solution{rules: r, set: full, empty: emptyIn(full)}
		switch {
		case full == nil:
			return solution{}, false
		case s.empty == len(full):
			return s, true
		case len(spans) == 0:
			return solution{}, false
		}
		s.spread, s.cost = spans[0].spread(), math.Inf(-1)
		s.rest = func() (solution, bool) {
			set, gap := b.even(within, r, spans)
			if set == nil {
				return solution{}, false
			}
			low, high := extent(set)
			return solution{rules: r, set: set, empty: emptyIn(set), spread: high - low, cost: sum(set, byCost.weigh), gap: gap}, true
		}
		return s, true
	}
}

// ranked lists the best sets, at most n of them, as many positions filled in all, none of
// which is worse than so; the others are divided by what they first have otherwise
// (Murty 1968).
func ranked(n int, solve solver, most worst) []solution {
	first, ok := solve(rules{}, unbounded)
	if !ok {
		return nil
	}
	waiting := &solutions{first}
	var out []solution
	for waiting.Len() > 0 && len(out) < n {
		s := heap.Pop(waiting).(solution)
		if s.empty > first.empty {
			break
		}
		if s.rest != nil {
			if s, ok = s.rest(); ok {
				heap.Push(waiting, s)
			}
			continue
		}
		if out = append(out, s); len(out) == n {
			break
		}
		for p := range s.set {
			if !s.open(p) {
				continue
			}
			most = waiting.worst(n-len(out), first.empty).and(most)
			if t, ok := solve(s.but(s.set, p), most); ok {
				heap.Push(waiting, t)
			}
		}
	}
	return out
}

// worst is the worst of so many, the best, that leave so many positions empty; no worst at
// all where there are not so many.
func (s solutions) worst(n, empty int) worst {
	var all []solution
	for _, t := range s {
		if t.empty == empty {
			all = append(all, t)
		}
	}
	if len(all) < n {
		return unbounded
	}
	slices.SortFunc(all, solution.compare)
	return worst{all[n-1].spread, all[n-1].cost}
}

// and is the less of two.
func (w worst) and(x worst) worst { return worst{min(w.spread, x.spread), min(w.cost, x.cost)} }

// extent is between what all strings of a set are, by what is wished for.
func extent(set []fit) (low, high float64) {
	var of []float64
	for _, f := range set {
		if f.str != empty {
			of = append(of, f.of)
		}
	}
	if len(of) == 0 {
		return 0, 0
	}
	return slices.Min(of), slices.Max(of)
}

// solutions are a heap, the best on top.
type solutions []solution

func (s solutions) Len() int           { return len(s) }
func (s solutions) Less(i, j int) bool { return s[i].compare(s[j]) < 0 }
func (s solutions) Swap(i, j int)      { s[i], s[j] = s[j], s[i] }
func (s *solutions) Push(x any)        { *s = append(*s, x.(solution)) }
func (s *solutions) Pop() any {
	last := (*s)[len(*s)-1]
	*s = (*s)[:len(*s)-1]
	return last
}
