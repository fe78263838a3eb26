package choose

import "math"

// even is the set of least spread out of a pool that is sorted, and of those of one
// spread the one of least cost; see within.
func (b *bench) even(l pool, r rules) (set []fit, gap float64, ok bool) {
	l = l.keeping(r)
	full, ok := b.best(l, r, byPull.weigh)
	if !ok || b.Limits.Total > 0 && pullOf(full) > float64(b.Limits.Total) {
		return nil, 0, false
	}
	filled := len(l) - emptyIn(full)
	if filled == 0 {
		return full, 0, true
	}
	least, bound := math.Inf(1), math.Inf(1) // of what sets cost, known and proved
	for _, span := range b.narrowest(l, r, filled) {
		cost := byCost.weigh
		if b.Wish.Near == 0 {
			middle := (span.low + span.high) / 2
			cost = func(f fit) float64 { return (f.of - middle) * (f.of - middle) }
		}
		s, g, found := b.within(l.in(span), r, cost, math.Inf(1))
		if !found {
			continue
		}
		c := sum(s, cost)
		if bound = min(bound, c-g); c < least {
			set, least = s, c
		}
	}
	if set == nil {
		return nil, 0, false
	}
	return set, least - bound, true
}

// narrowest lists the narrowest ranges within which so many positions find strings of
// their own, and keep the limit of the total.
func (b *bench) narrowest(l pool, r rules, filled int) (out []reach) {
	best := math.Inf(1)
	b.newWindow(rowsOf(l), r, filled).each(func() float64 { return best }, func(r reach) {
		if r.spread() < best {
			best, out = r.spread(), nil
		}
		out = append(out, r)
	})
	return out
}

// rowsOf are the rows of a pool that is sorted.
func rowsOf(l pool) []row {
	var out []row
	for p, list := range l {
		r := row{positions: []int{p}}
		for _, f := range list {
			r.of, r.str = append(r.of, f.of), append(r.str, int32(f.str))
		}
		out = append(out, r)
	}
	return out
}
