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
	w := &window{b: b, pool: l, rules: r, filled: len(l) - emptyIn(full), short: make(pool, len(l))}
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

	// Of the match that is being looked for: who has what, and what was looked at.
	held []held
	seen []int

	short pool // what of a window can matter to the least total pull
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
	from, to := make([]int, len(w.pool)), make([]int, len(w.pool)) // what of each list is in the window
	inside := make(pool, len(w.pool))
	high, present := 0, 0 // values before high are in the window
	lowest := 0           // the high end was no lower so far
	for low := 0; low < len(values); low++ {
		least := values[low].of
		for ; high < len(values) && values[high].of-least <= best; high++ {
			p := values[high].position
			if to[p]++; to[p] == from[p]+1 {
				present++
			}
		}
		again := low > 0 && values[low-1].of == least // the window from there was the same
		if present >= w.filled && !again {
			for p, list := range w.pool {
				inside[p] = list[from[p]:to[p]]
			}
			if w.enough(inside) {
				// No lower end than for a lower start will do, so search from there on.
				start := max(low, lowest)
				lowest = start + sort.Search(high-1-start, func(i int) bool { return w.enough(w.cut(reach{least, values[start+i].of})) })
				r := reach{least, values[lowest].of}
				if r.high-least < best {
					best, out = r.high-least, nil
				}
				out = append(out, r)
				for ; high > low+1 && values[high-1].of-least > best; high-- {
					p := values[high-1].position
					if to[p]--; to[p] == from[p] {
						present--
					}
				}
			}
		}
		p := values[low].position
		if from[p]++; from[p] == to[p] {
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

// enough tells whether out of a pool enough positions find a string, and keep the
// limit of the total.
func (w *window) enough(inside pool) bool {
	if w.matched(inside) < w.filled {
		return false
	}
	total := float64(w.b.Limits.Total)
	if total == 0 {
		return true
	}
	if w.b.Wish.Of == Pull { // the lists are sorted by what they pull
		for p, list := range inside {
			w.short[p] = list[:min(len(inside), len(list))]
		}
		inside = w.short
		if w.filled == len(inside) {
			lowest := 0.0
			for _, list := range inside {
				lowest += list[0].pull
			}
			if lowest > total {
				return false
			}
			if w.enoughCopies(inside) {
				return true
			}
		}
	}
	set, ok := w.b.best(inside, w.rules, func(f fit) float64 { return f.pull })
	return ok && len(set)-emptyIn(set) >= w.filled && pullOf(set) <= total
}

// enoughCopies tells whether all positions can have the first string of their lists.
func (w *window) enoughCopies(inside pool) bool {
	for p, list := range inside {
		used := 0
		for _, other := range inside[:p+1] {
			if other[0].str == list[0].str {
				used++
			}
		}
		if used > w.b.left(list[0].str) {
			return false
		}
	}
	return true
}

// A held string is a copy of it that a position has.
type held struct{ str, position int }

// matched is how many positions can have a string of their own at once, by augmenting
// paths. Positions that must not stay empty come first: a position that has found a
// string keeps one. No more of a position's strings can matter than there are
// positions.
func (w *window) matched(inside pool) int {
	w.held = w.held[:0]
	found := 0
	for _, must := range []bool{true, false} {
		for p := range inside {
			if w.rules.allow(p, empty) == must {
				continue
			}
			w.seen = w.seen[:0]
			switch {
			case w.place(inside, p):
				found++
			case must:
				return 0
			}
		}
	}
	return found
}

// place gives a position a string, for which others may have to take another one.
func (w *window) place(inside pool, p int) bool {
	list := inside[p]
	for _, f := range list[:min(len(inside), len(list))] {
		if slices.Contains(w.seen, f.str) {
			continue
		}
		w.seen = append(w.seen, f.str)
		used := 0
		for _, h := range w.held {
			if h.str == f.str {
				used++
			}
		}
		if used < w.b.left(f.str) {
			w.held = append(w.held, held{f.str, p})
			return true
		}
		for i := range w.held { // what is appended on the way is of other strings
			if w.held[i].str == f.str && w.place(inside, w.held[i].position) {
				w.held[i].position = p
				return true
			}
		}
	}
	return false
}
