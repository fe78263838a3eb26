package choose

import (
	"cmp"
	"math"
	"slices"
)

// dearest is what as many sets cost at most as are wanted: the best out of a pool and, if
// there are so many, such as have one or two other strings, by a scale at which these matter
// little.
func (b *bench) dearest(l pool, by scale) float64 {
	set, _, ok := b.within(l, rules{}, byCost.weigh, math.Inf(1))
	switch {
	case !ok:
		return math.Inf(1)
	case b.Alternatives == 0:
		return sum(set, byCost.weigh)
	}
	if most, ok := b.swapped(set, l, by); ok {
		return most
	}
	known := ranked(1+b.Alternatives, b.cheapestIn(l), unbounded)
	if len(known) <= b.Alternatives {
		return math.Inf(1)
	}
	return known[b.Alternatives].cost
}

// A swap is another string at a position of a set, and what it changes.
type swap struct {
	position, str  int
	cost, pull, by float64
}

// mostSwaps is how many other strings are tried at a position.
const mostSwaps = 16

// swapped is what the last costs of as many sets as are wanted besides one, which keep the
// limit and have one or two other strings; ok is false where there are not so many.
func (b *bench) swapped(set []fit, l pool, by scale) (most float64, ok bool) {
	used := map[int]int{}
	for _, f := range set {
		used[f.str]++
	}
	var swaps []swap
	for p, f := range set {
		if f.str == empty {
			continue
		}
		var here []swap
		for _, g := range l[p] {
			if g.str != f.str {
				here = append(here, swap{p, g.str, g.cost - f.cost, g.pull - f.pull, by.weigh(g) - by.weigh(f)})
			}
		}
		slices.SortFunc(here, func(x, y swap) int { return cmp.Compare(x.by, y.by) })
		swaps = append(swaps, here[:min(mostSwaps, len(here))]...)
	}
	room := float64(b.Limits.Total) - pullOf(set)
	costs := lightest{n: b.Alternatives}
	try := func(of ...swap) {
		cost, pull := 0.0, 0.0
		for _, s := range of {
			cost += s.cost
			pull += s.pull
		}
		if pull > room || !costs.wants(cost) {
			return
		}
		for _, s := range of {
			wanted := used[s.str]
			for _, t := range of {
				if t.str == s.str {
					wanted++
				}
				if set[t.position].str == s.str {
					wanted--
				}
			}
			if wanted > b.left(s.str) {
				return
			}
		}
		costs.add(fit{}, cost)
	}
	for i, s := range swaps {
		try(s)
		for _, t := range swaps[i+1:] {
			if t.position != s.position {
				try(s, t)
			}
		}
	}
	if costs.Len() < b.Alternatives {
		return 0, false
	}
	most = sum(set, byCost.weigh)
	rounding := most
	for _, s := range swaps {
		rounding = max(rounding, math.Abs(s.cost))
	}
	return most + costs.items[0].weight + 1e-12*rounding, true
}
