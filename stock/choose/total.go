package choose

import (
	"container/heap"
	"math"
)

// A limited search is for the set of least cost whose total pull keeps a limit, in a
// pool.
type limited struct {
	b      *bench
	pool   pool
	cost   func(fit) float64
	total  float64 // the limit, N
	empty  int     // positions that stay empty
	found  []fit   // the best so far, its cost is upper
	upper  float64
	fringe []limitedNode // heap, the lowest bound on top
}

// A limitedNode is the sets that keep some rules: none costs less than bound.
type limitedNode struct {
	rules
	bound float64
	split []fit // a set over the limit, to divide the others by
}

// mostNodes is how many nodes are looked at before the best so far is taken. Sets of
// real strings take some tens.
const mostNodes = 3000

// within is the set out of the pool that leaves the fewest positions empty and, of
// those whose total pull keeps the limit, costs least; gap is by how much its cost may
// be above the least, zero where it was proved. ok is false where no set keeps the
// rules and the limit.
//
// A price λ on the pull gives a bound: the least of cost + λ·pull over all sets, less
// λ times the limit (Handler and Zang 1980). What is left between the bound and the best
// set known is searched by branching.
func (b *bench) within(l pool, r rules, cost func(fit) float64) (set []fit, gap float64, ok bool) {
	set, ok = b.best(l, r, cost)
	total := float64(b.Limits.Total)
	if !ok || total == 0 || pullOf(set) <= total {
		return set, 0, ok
	}
	s := &limited{b: b, pool: l, cost: cost, total: total, empty: emptyIn(set), upper: math.Inf(1)}
	s.open(r)
	s.thin()
	for nodes := 0; len(s.fringe) > 0; nodes++ {
		n := heap.Pop(s).(limitedNode)
		if !s.better(n.bound) {
			break
		}
		if nodes == mostNodes {
			return s.found, s.upper - n.bound, true
		}
		for p := range n.split {
			if n.open(p) {
				s.open(n.but(n.split, p))
			}
		}
	}
	return s.found, 0, s.found != nil
}

// better tells whether a bound is below the best set known, by more than rounding.
func (s *limited) better(bound float64) bool {
	return bound < s.upper-1e-12*math.Abs(s.upper)
}

// offer takes a set that keeps the limit.
func (s *limited) offer(set []fit) {
	if c := sum(set, s.cost); c < s.upper {
		s.found, s.upper = set, c
	}
}

// open bounds the sets that keep the rules, and puts them on the fringe if one of them
// may be the best.
func (s *limited) open(r rules) {
	over, ok := s.b.best(s.pool, r, s.cost)
	if !ok || emptyIn(over) != s.empty {
		return
	}
	if pullOf(over) <= s.total {
		s.offer(over)
		return
	}
	under, ok := s.b.best(s.pool, r, func(f fit) float64 { return f.pull })
	if !ok || pullOf(under) > s.total {
		return
	}
	s.offer(under)
	for {
		// Where both sets cost the same, price included.
		p0, c0 := pullOf(over), sum(over, s.cost)
		lambda := (sum(under, s.cost) - c0) / (p0 - pullOf(under))
		priced := func(f fit) float64 { return s.cost(f) + lambda*f.pull }
		next, _ := s.b.best(s.pool, r, priced)
		line := c0 + lambda*p0
		if v := sum(next, priced); v >= line-1e-12*math.Abs(line) {
			if bound := v - lambda*s.total; s.better(bound) {
				heap.Push(s, limitedNode{r, bound, over})
			}
			return
		}
		if pullOf(next) <= s.total {
			under = next
			s.offer(under)
		} else {
			over = next
		}
	}
}

// thin leaves out of the pool what no set that is better than the best known can have:
// what is too dear even beside the cheapest at all other positions, at the price of the
// first node.
func (s *limited) thin() {
	if len(s.fringe) == 0 || s.empty > 0 {
		return
	}
	n := s.fringe[0]
	under := s.found
	lambda := (s.upper - sum(n.split, s.cost)) / (pullOf(n.split) - pullOf(under))
	if !(lambda >= 0) {
		return
	}
	priced := func(f fit) float64 { return s.cost(f) + lambda*f.pull }
	least := make([]float64, len(s.pool))
	all := -lambda * s.total
	for p, list := range s.pool {
		least[p] = math.Inf(1)
		for _, f := range list {
			if n.allow(p, f.str) {
				least[p] = min(least[p], priced(f))
			}
		}
		all += least[p]
	}
	thinned := make(pool, len(s.pool))
	for p, list := range s.pool {
		for _, f := range list {
			if all-least[p]+priced(f) <= s.upper+1e-9*math.Abs(s.upper) {
				thinned[p] = append(thinned[p], f)
			}
		}
	}
	s.pool = thinned
}

func pullOf(set []fit) float64 { return sum(set, func(f fit) float64 { return f.pull }) }

// sum is over the positions that are not empty.
func sum(set []fit, of func(fit) float64) float64 {
	v := 0.0
	for _, f := range set {
		if f.str != empty {
			v += of(f)
		}
	}
	return v
}

func emptyIn(set []fit) int {
	n := 0
	for _, f := range set {
		if f.str == empty {
			n++
		}
	}
	return n
}

// Len, Less, Swap, Push and Pop make a heap of the fringe.
func (s *limited) Len() int           { return len(s.fringe) }
func (s *limited) Less(i, j int) bool { return s.fringe[i].bound < s.fringe[j].bound }
func (s *limited) Swap(i, j int)      { s.fringe[i], s.fringe[j] = s.fringe[j], s.fringe[i] }
func (s *limited) Push(x any)         { s.fringe = append(s.fringe, x.(limitedNode)) }
func (s *limited) Pop() any {
	last := s.fringe[len(s.fringe)-1]
	s.fringe = s.fringe[:len(s.fringe)-1]
	return last
}
