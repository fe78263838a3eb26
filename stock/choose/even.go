package choose

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// even is the set of least spread out of a pool that is sorted, and of those of one
// spread the one of least cost; see within.
func (b *bench) even(l pool, r rules) (set []fit, gap float64, ok bool) {
	l = l.keeping(r)
	full, ok := b.best(l, r, func(f fit) float64 { return f.pull })
	if !ok || b.Limits.Total > 0 && pullOf(full) > float64(b.Limits.Total) {
		return nil, 0, false
	}
	w := &window{b: b, pool: l, rules: r, filled: len(l) - emptyIn(full)}
	if w.filled == 0 {
		return full, 0, true
	}
	least := math.Inf(1)
	for _, span := range w.narrowest() {
		inside := w.cut(span)
		cost := func(f fit) float64 { return f.cost }
		if b.Wish.Near == 0 {
			middle := (span.low + span.high) / 2
			cost = func(f fit) float64 { return (f.of - middle) * (f.of - middle) }
		}
		s, g, found := b.within(inside, r, cost)
		if c := sum(s, cost); found && c < least {
			set, gap, least = s, g, c
		}
	}
	return set, gap, set != nil
}

// A window slides over what is wished for; of a pool, what lies in it may be used.
type window struct {
	b      *bench
	pool   pool // sorted
	rules  rules
	filled int // positions that must find a string
}

type reach struct{ low, high float64 }

// narrowest lists the narrowest ranges within which enough positions find strings of
// their own, and keep the limit of the total. The low end runs up through all values;
// the high end never needs to come down, but for becoming better than the best known.
func (w *window) narrowest() []reach {
	type value struct {
		of       float64
		position int
	}
	var values []value
	for p, list := range w.pool {
		for _, f := range list {
			values = append(values, value{f.of, p})
		}
	}
	slices.SortFunc(values, func(x, y value) int { return cmp.Compare(x.of, y.of) })
	best := math.Inf(1)
	var out []reach
	count := make([]int, len(w.pool))
	high, present := 0, 0 // values before high are in the window
	for low := 0; low < len(values); low++ {
		from := values[low].of
		for ; high < len(values) && values[high].of-from <= best; high++ {
			if count[values[high].position]++; count[values[high].position] == 1 {
				present++
			}
		}
		again := low > 0 && values[low-1].of == from // the window from there was the same
		if present >= w.filled && !again && w.enough(reach{from, values[high-1].of}) {
			n := sort.Search(high-low-1, func(i int) bool { return w.enough(reach{from, values[low+i].of}) })
			r := reach{from, values[low+n].of}
			if r.high-from < best {
				best, out = r.high-from, nil
			}
			out = append(out, r)
			for ; high > low+1 && values[high-1].of-from > best; high-- {
				if count[values[high-1].position]--; count[values[high-1].position] == 0 {
					present--
				}
			}
		}
		if count[values[low].position]--; count[values[low].position] == 0 {
			present--
		}
	}
	return out
}

// cut is what of the pool lies within a range.
func (w *window) cut(r reach) pool {
	out := make(pool, len(w.pool))
	for p, list := range w.pool {
		from := sort.Search(len(list), func(i int) bool { return list[i].of >= r.low })
		to := sort.Search(len(list), func(i int) bool { return list[i].of > r.high })
		out[p] = list[from:to]
	}
	return out
}

// enough tells whether within a range enough positions find a string, and keep the
// limit of the total.
func (w *window) enough(r reach) bool {
	inside := w.cut(r)
	if w.matched(inside) < w.filled {
		return false
	}
	if w.b.Limits.Total == 0 {
		return true
	}
	set, ok := w.b.best(inside, w.rules, func(f fit) float64 { return f.pull })
	return ok && len(set)-emptyIn(set) >= w.filled && pullOf(set) <= float64(w.b.Limits.Total)
}

// matched is how many positions can have a string of their own at once, by augmenting
// paths. Positions that must not stay empty come first: a position that has found a
// string keeps one. No more of a position's strings can matter than there are
// positions.
func (w *window) matched(inside pool) int {
	holders := map[int][]int{} // of each string, the positions that have it
	n := len(inside)
	var seen []int
	var place func(p int) bool
	place = func(p int) bool {
		list := inside[p]
		for _, f := range list[:min(n, len(list))] {
			if slices.Contains(seen, f.str) {
				continue
			}
			seen = append(seen, f.str)
			if len(holders[f.str]) < w.b.left(f.str) {
				holders[f.str] = append(holders[f.str], p)
				return true
			}
			for i, q := range holders[f.str] {
				if place(q) {
					holders[f.str][i] = p
					return true
				}
			}
		}
		return false
	}
	found := 0
	for _, must := range []bool{true, false} {
		for p := range inside {
			if w.rules.allow(p, empty) == must {
				continue
			}
			seen = seen[:0]
			switch {
			case place(p):
				found++
			case must:
				return 0
			}
		}
	}
	return found
}
