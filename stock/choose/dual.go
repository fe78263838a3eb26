package choose

import (
	"math"
	"slices"
)

// affordable is a pool that has the best sets, and those that are wanted besides,
// whose total pull keeps the limit, and says what none of these costs more than.
//
// A price on the pull bounds what any set costs that has a certain fit: no less than
// the lightest at all other positions and this fit make together, less the price of the
// limit (the Lagrangian bound; Handler and Zang 1980). What is dearer by that than as
// many sets as are wanted is left out.
func (b *bench) affordable() (out pool, most float64) {
	full := b.lowest()
	total := float64(b.Limits.Total)
	n := len(b.Positions) + b.Alternatives
	by := scale{1, b.price(total)}
	some := make(pool, len(b.Positions))
	for p := range some {
		for _, by := range []scale{byCost, by, byPull} {
			for _, f := range b.lightest(p, n, by) {
				if !slices.ContainsFunc(some[p], func(g fit) bool { return g.str == f.str }) {
					some[p] = append(some[p], f)
				}
			}
		}
	}
	if pullOf(full) > total {
		return some, math.Inf(1) // nothing keeps it, and that is soon seen
	}
	most = b.dearest(some, by)
	rooms := b.rooms(by, len(full)-emptyIn(full))
	out = make(pool, len(b.Positions))
	for p, s := range b.shelves {
		room := most - rooms[p] + by.price*total
		room += 1e-9 * (math.Abs(room) + by.price*total) // rounding takes nothing away
		middle := s.from(b.middle(p, by))
		from, to := middle, middle
		for from > 0 && b.least(p, by, s.of[from-1]) <= room {
			from--
		}
		for to < len(s.of) && b.least(p, by, s.of[to]) <= room {
			to++
		}
		for _, f := range b.fits(p, from, to) {
			if by.weigh(f) <= room {
				out[p] = append(out[p], f)
			}
		}
	}
	return out, most
}

// price is one on the pull at which the lightest fits of all positions keep the limit
// about, string for string, 0 where they do at none.
func (b *bench) price(total float64) float64 {
	pull := func(price float64) float64 {
		v := 0.0
		for p := range b.Positions {
			for _, f := range b.lightest(p, 1, scale{1, price}) {
				v += f.pull
			}
		}
		return v
	}
	if pull(0) <= total {
		return 0
	}
	low, high := 0.0, 1.0 // N
	for high < 1e6 && pull(high) > total {
		low, high = high, 2*high
	}
	for range 40 {
		if middle := (low + high) / 2; pull(middle) > total {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// rooms are, for each position, the least that the others weigh together, so many
// being filled in all.
func (b *bench) rooms(by scale, filled int) []float64 {
	var least []float64 // of each that has a fit
	at := make([]float64, len(b.Positions))
	for p := range at {
		at[p] = math.NaN()
		for _, f := range b.lightest(p, 1, by) {
			at[p] = by.weigh(f)
			least = append(least, at[p])
		}
	}
	slices.Sort(least)
	out := make([]float64, len(at))
	for p, own := range at {
		others, skipped := 0, math.IsNaN(own)
		for _, w := range least {
			if w == own && !skipped {
				skipped = true
				continue
			}
			if others < filled-1 {
				out[p] += w
				others++
			}
		}
	}
	return out
}
