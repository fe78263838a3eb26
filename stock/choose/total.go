package choose

import (
	"container/heap"
	"math"
	"slices"
)

// A limited search is for the set of least cost whose total pull keeps a limit, in a
// pool.
type limited struct {
	b      *bench
	cost   func(fit) float64
	total  float64 // the limit, N
	found  []fit   // the best so far, its cost is upper
	upper  float64
	fringe []node // heap, the lowest bound on top
}

// A node is the sets out of a pool that keep some rules: none costs less than bound,
// as a price on the pull shows, at which one over the limit and one under it weigh the same.
type node struct {
	pool
	rules
	bound, price float64
	over, under  []fit
	empty        int             // positions that stay empty
	scarce       map[int]float64 // strings, see assign
}

// mostNodes is how many nodes are looked at before the best so far is taken. Sets of
// real strings take a few.
const mostNodes = 1000

// mostParts is how many parts of sets are looked at in a node before it is divided.
const mostParts = 200_000

// within is the set out of the pool that leaves the fewest positions empty and, of
// those whose total pull keeps the limit, costs least; gap is by how much its cost may
// be above the least, zero where it was proved. ok is false where no set keeps the
// rules and the limit, and may be where none does that costs no more than upper.
//
// A price λ on the pull gives a bound: the least of cost + λ·pull over all sets, less
// λ times the limit (Handler and Zang 1980). What is left between the bound and the best
// set known is searched, and where that is too much it is divided.
func (b *bench) within(l pool, r rules, cost func(fit) float64, upper float64) (set []fit, gap float64, ok bool) {
	over, ok := b.best(l, r, cost)
	total := float64(b.Limits.Total)
	if !ok || total == 0 || pullOf(over) <= total {
		return over, 0, ok
	}
	s := &limited{b: b, cost: cost, total: total, upper: upper * (1 + 1e-9)}
	s.open(node{pool: l, rules: r, empty: emptyIn(over)})
	for nodes := 0; len(s.fringe) > 0; nodes++ {
		n := heap.Pop(s).(node)
		if !s.better(n.bound) {
			break
		}
		if nodes == mostNodes {
			return s.found, s.upper - n.bound, s.found != nil
		}
		if !s.settle(&n) {
			s.divide(n)
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

// open bounds the sets of a node, and puts it on the fringe if one of them may be the
// best.
func (s *limited) open(n node) {
	var ok bool
	n.over, ok = s.b.best(n.pool, n.rules, s.cost)
	if !ok || emptyIn(n.over) != n.empty {
		return
	}
	if pullOf(n.over) <= s.total {
		s.offer(n.over)
		return
	}
	n.under, ok = s.b.best(n.pool, n.rules, byPull.weigh)
	if !ok || pullOf(n.under) > s.total {
		return
	}
	s.offer(n.under)
	for {
		// Where both sets cost the same, price included.
		p0, c0 := pullOf(n.over), sum(n.over, s.cost)
		n.price = (sum(n.under, s.cost) - c0) / (p0 - pullOf(n.under))
		priced := func(f fit) float64 { return s.cost(f) + n.price*f.pull }
		next, scarce, _ := s.b.bestOf(n.pool, n.rules, priced)
		line := c0 + n.price*p0
		if v := sum(next, priced); v >= line-1e-12*math.Abs(line) {
			n.scarce = scarce
			if n.bound = v - n.price*s.total; s.better(n.bound) {
				heap.Push(s, n)
			}
			return
		}
		if pullOf(next) <= s.total {
			n.under = next
			s.offer(next)
		} else {
			n.over = next
		}
	}
}

// divide opens two nodes for one: the sets that pull less at a position, and those that
// pull more there. It is the one at which the node's set over the limit pulls the most
// above that under it.
func (s *limited) divide(n node) {
	at, most := 0, 0.0
	for p := range n.over {
		if d := n.over[p].pull - n.under[p].pull; d > most {
			at, most = p, d
		}
	}
	middle := n.under[at].pull + most/2
	low, high := n, n
	low.pool, high.pool = slices.Clone(n.pool), slices.Clone(n.pool)
	low.pool[at], high.pool[at] = nil, nil
	for _, f := range n.pool[at] {
		if f.pull <= middle {
			low.pool[at] = append(low.pool[at], f)
		} else {
			high.pool[at] = append(high.pool[at], f)
		}
	}
	high.rules = n.rules.bar(at, empty) // none pulls nothing
	s.open(low)
	s.open(high)
}

// settle finds the best set of a node and tells whether it could; if not, the bound is
// higher.
func (s *limited) settle(n *node) bool {
	d := search{b: s.b, pool: n.pool, rules: n.rules, cost: s.cost, price: n.price, total: s.total, empty: n.empty, scarce: n.scarce, most: mostParts}
	d.keep(s.upper)
	bound := n.bound
	for margin := (s.upper - bound) / (1 << 20); s.better(n.bound); margin *= 1.5 { // what is looked at grows fast with it
		budget := min(s.upper, bound+margin)
		set, ok := d.within(budget)
		if !ok {
			return false
		}
		if set != nil {
			s.offer(set)
			if sum(set, s.cost) <= budget*(1+1e-12) {
				return true
			}
		}
		n.bound = budget
	}
	return true
}

func pullOf(set []fit) float64 { return sum(set, byPull.weigh) }

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
func (s *limited) Push(x any)         { s.fringe = append(s.fringe, x.(node)) }
func (s *limited) Pop() any {
	last := s.fringe[len(s.fringe)-1]
	s.fringe = s.fringe[:len(s.fringe)-1]
	return last
}
