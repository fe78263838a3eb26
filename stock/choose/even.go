package choose

import "math"

// even is the set of least cost out of some spans of a pool that is sorted, all of the
// narrowest; see within.
func (b *bench) even(l pool, r rules, spans []reach) (set []fit, gap float64) {
	least, bound := math.Inf(1), math.Inf(1) // of what sets cost, known and proved
	for _, span := range spans {
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
	return set, least - bound
}

// narrowest lists the narrowest ranges of a pool within which as many positions find strings
// of their own as can, and keep the limit of the total, and which are no wider than widest.
// full is a set that fills as many, nil where none keeps the rules and the limit.
func (b *bench) narrowest(l pool, r rules, widest float64) (full []fit, out []reach) {
	full, ok := b.best(l, r, byPull.weigh)
	if !ok || b.Limits.Total > 0 && pullOf(full) > float64(b.Limits.Total) {
		return nil, nil
	}
	filled := len(l) - emptyIn(full)
	if filled == 0 {
		return full, nil
	}
	best := widest
	b.newWindow(rowsOf(l), r, filled).each(func() float64 { return best }, func(r reach) {
		if r.spread() < best {
			best, out = r.spread(), nil
		}
		out = append(out, r)
	})
	return full, out
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
