package choose

import (
	"cmp"
	"container/heap"
	"maps"
	"slices"
	"sort"
)

// A pool lists for each position the strings that may go there.
type pool [][]fit

// Rules are what is laid down of a set beforehand, by position: the string that it
// has, and strings that it has not. empty counts as a string.
type rules struct {
	forced map[int]int
	barred map[int][]int
}

// but is the rules, with what a set has at the positions below one laid down, and what
// it has at that barred: over all positions that are open, those are all other sets.
func (r rules) but(set []fit, position int) rules {
	out := rules{map[int]int{}, map[int][]int{}}
	for p, s := range r.forced {
		out.forced[p] = s
	}
	for p := range position {
		out.forced[p] = set[p].str
	}
	for p, s := range r.barred {
		out.barred[p] = s
	}
	out.barred[position] = append(slices.Clone(r.barred[position]), set[position].str)
	return out
}

// bar is the rules, with one string more that a position has not.
func (r rules) bar(position, str int) rules {
	out := rules{r.forced, maps.Clone(r.barred)}
	if out.barred == nil {
		out.barred = map[int][]int{}
	}
	out.barred[position] = append(slices.Clone(r.barred[position]), str)
	return out
}

// allow tells whether a string may go to a position.
func (r rules) allow(position, str int) bool {
	if s, ok := r.forced[position]; ok && s != str {
		return false
	}
	return !slices.Contains(r.barred[position], str)
}

// open tells whether the position is left to choose.
func (r rules) open(position int) bool {
	_, ok := r.forced[position]
	return !ok
}

// lightestOfAll is, for each position, those n fits that weigh least.
func (b *bench) lightestOfAll(n int, by scale) pool {
	out := make(pool, len(b.Positions))
	for p := range out {
		out[p] = b.lightest(p, n, by)
	}
	return out
}

// lowest is the set that fills the most positions and pulls least. Where its limit of
// the total is broken nothing keeps it.
func (b *bench) lowest() []fit {
	set, _ := b.best(b.lightestOfAll(len(b.Positions), byPull), rules{}, byPull.weigh)
	return set
}

// keeping is the pool without what the rules do not allow.
func (l pool) keeping(r rules) pool {
	out := make(pool, len(l))
	for p, list := range l {
		if r.open(p) && len(r.barred[p]) == 0 {
			out[p] = list
			continue
		}
		for _, f := range list {
			if r.allow(p, f.str) {
				out[p] = append(out[p], f)
			}
		}
	}
	return out
}

// in is what of a sorted pool lies within a range.
func (l pool) in(r reach) pool {
	out := make(pool, len(l))
	for p, list := range l {
		from := sort.Search(len(list), func(i int) bool { return list[i].of >= r.low })
		to := sort.Search(len(list), func(i int) bool { return list[i].of > r.high })
		out[p] = list[from:to]
	}
	return out
}

// best is the set out of the pool that leaves the fewest positions empty and weighs
// least. Of each position's strings no more than there are positions can matter: the
// others take at most all but one.
func (b *bench) best(l pool, r rules, weigh func(fit) float64) ([]fit, bool) {
	set, _, ok := b.bestOf(l, r, weigh)
	return set, ok
}

// bestOf tells besides which strings are scarce; see assign.
func (b *bench) bestOf(l pool, r rules, weigh func(fit) float64) (set []fit, scarce map[int]float64, ok bool) {
	lists := make([][]fit, len(l))
	mayEmpty := make([]bool, len(l))
	for p, list := range l {
		mayEmpty[p] = r.allow(p, empty)
		near := lightest{n: len(l)}
		for _, f := range list {
			if w := weigh(f); near.wants(w) && r.allow(p, f.str) {
				near.add(f, w)
			}
		}
		lists[p] = near.sorted()
	}
	if set, ok := b.foremost(lists, mayEmpty); ok {
		return set, nil, true
	}
	return assign(lists, mayEmpty, b.left, weigh)
}

// foremost is the set of what is first on each list, if no string is then used more
// often than it is left. ok is false where another set may be the best.
func (b *bench) foremost(lists [][]fit, mayEmpty []bool) (set []fit, ok bool) {
	for p, list := range lists {
		if len(list) == 0 {
			if !mayEmpty[p] {
				return nil, false
			}
			set = append(set, fit{str: empty})
			continue
		}
		used := 1
		for _, f := range set {
			if f.str == list[0].str {
				used++
			}
		}
		if used > b.left(list[0].str) {
			return nil, false
		}
		set = append(set, list[0])
	}
	return set, true
}

// lightest keeps the n fits that weigh least.
type lightest struct {
	n     int
	items []weighed
}

type weighed struct {
	fit
	weight float64
}

func (l *lightest) wants(w float64) bool { return len(l.items) < l.n || w < l.items[0].weight }

func (l *lightest) add(f fit, w float64) {
	if len(l.items) < l.n {
		heap.Push(l, weighed{f, w})
		return
	}
	l.items[0].fit, l.items[0].weight = f, w
	heap.Fix(l, 0)
}

func (l *lightest) sorted() []fit {
	slices.SortFunc(l.items, func(x, y weighed) int {
		return cmp.Or(cmp.Compare(x.weight, y.weight), cmp.Compare(x.str, y.str))
	})
	out := make([]fit, len(l.items))
	for i, w := range l.items {
		out[i] = w.fit
	}
	return out
}

// Len, Less, Swap, Push and Pop make a heap of it, the heaviest on top.
func (l *lightest) Len() int           { return len(l.items) }
func (l *lightest) Less(i, j int) bool { return l.items[i].weight > l.items[j].weight }
func (l *lightest) Swap(i, j int)      { l.items[i], l.items[j] = l.items[j], l.items[i] }
func (l *lightest) Push(x any)         { l.items = append(l.items, x.(weighed)) }
func (l *lightest) Pop() any {
	last := l.items[len(l.items)-1]
	l.items = l.items[:len(l.items)-1]
	return last
}
