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

// A solver finds the best set under rules, those that a set which is wanted besides may have
// to keep. It need not find one that costs more than so much.
type solver func(r rules, upper float64) (solution, bool)

// solver makes one ready, and says what none of the sets that are wanted costs more than.
func (b *bench) solver() (solver, float64) {
	if len(b.Wish.Targets) == 0 {
		return b.evenIn(b.gathered()), math.Inf(1)
	}
	if b.Limits.Total > 0 {
		pool, most := b.affordable()
		return b.cheapestIn(pool), most
	}
	// The others, and what is barred, take at most all but one of these.
	return b.cheapestIn(b.lightestOfAll(len(b.Positions)+b.Alternatives, byCost)), math.Inf(1)
}

// cheapestIn finds sets of least cost in a pool.
func (b *bench) cheapestIn(l pool) solver {
	return func(r rules, upper float64) (solution, bool) {
		set, gap, ok := b.within(l, r, byCost.weigh, upper)
		return solution{rules: r, set: set, empty: emptyIn(set), cost: sum(set, byCost.weigh), gap: gap}, ok
	}
}

// evenIn finds sets of least spread in a pool that is sorted, whatever they cost.
func (b *bench) evenIn(l pool) solver {
	return func(r rules, _ float64) (solution, bool) {
		set, gap, ok := b.even(l, r)
		if !ok {
			return solution{}, false
		}
		low, high := extent(set)
		return solution{rules: r, set: set, empty: emptyIn(set), spread: high - low, cost: sum(set, byCost.weigh), gap: gap}, true
	}
}

// ranked lists the best sets, at most n of them, as many positions filled in all, none of
// which costs more than so much; the others are divided by what they first have otherwise
// (Murty 1968).
func ranked(n int, solve solver, most float64) []solution {
	first, ok := solve(rules{}, math.Inf(1))
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
		if out = append(out, s); len(out) == n {
			break
		}
		for p := range s.set {
			if !s.open(p) {
				continue
			}
			most = min(most, waiting.cost(n-len(out), first.empty))
			if t, ok := solve(s.but(s.set, p), most); ok {
				heap.Push(waiting, t)
			}
		}
	}
	return out
}

// cost is that of the dearest of so many, the cheapest, that leave so many positions empty;
// infinite where there are not so many.
func (s solutions) cost(n, empty int) float64 {
	var costs []float64
	for _, t := range s {
		if t.empty == empty {
			costs = append(costs, t.cost)
		}
	}
	if len(costs) < n {
		return math.Inf(1)
	}
	slices.Sort(costs)
	return costs[n-1]
}

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
