package choose

import (
	"cmp"
	"math"
	"slices"
)

// gathered is a pool, sorted, that has the sets of least spread, and those that are
// wanted besides, and how far none of these is spread beyond.
//
// What is spread as little as the last of these lies about one of the shortest windows,
// so all that are no wider are found. Where such windows have much in common, not all of
// that can matter.
func (b *bench) gathered() (pool, float64) {
	full := b.lowest()
	filled := len(full) - emptyIn(full)
	if filled == 0 || b.Limits.Total > 0 && pullOf(full) > float64(b.Limits.Total) {
		return b.lightestOfAll(len(b.Positions), byPull), math.Inf(1) // whatever is asked is soon answered
	}
	best := shortest{most: 1 + b.Alternatives}
	var found []reach
	b.newWindow(b.rows(), rules{}, filled).each(best.limit, func(r reach) {
		best.add(r)
		found = append(found, r)
	})
	if len(found) == 0 { // by rounding of a total just kept
		return b.about([]reach{{0, math.Inf(1)}}, math.Inf(1)), math.Inf(1)
	}
	widest := b.widest(&best)
	var windows []reach
	for _, r := range found {
		if r.spread() <= widest {
			windows = append(windows, r)
		}
	}
	return b.about(windows, widest), widest
}

// rows are the shelves, each once.
func (b *bench) rows() []row {
	var out []row
	for p, s := range b.shelves {
		i := slices.IndexFunc(b.shelves, func(t *shelf) bool { return s == t })
		if i == p {
			out = append(out, row{of: s.of, str: s.str})
		}
	}
	for p, s := range b.shelves {
		for i := range out {
			if len(s.of) > 0 && len(out[i].of) > 0 && &s.of[0] == &out[i].of[0] {
				out[i].positions = append(out[i].positions, p)
			}
		}
	}
	return out
}

// widest is how far the strings of as many sets are spread at most as are wanted: that
// of as many windows, or less where such sets are soon found about the shortest.
func (b *bench) widest(best *shortest) float64 {
	limit := best.limit()
	if b.Alternatives == 0 {
		return limit
	}
	known := ranked(1+b.Alternatives, b.evenIn(b.handful(best.all[0])), unbounded)
	if len(known) <= b.Alternatives {
		return limit
	}
	return min(limit, known[b.Alternatives].spread)
}

// handful is some of what lies within a window and about it.
func (b *bench) handful(r reach) pool {
	n := len(b.Positions) + b.Alternatives
	out := make(pool, len(b.Positions))
	for p, s := range b.shelves {
		from, to := s.from(r.low), s.past(r.high)
		i, j := s.nearest(from, to, b.level(r), n)
		out[p] = append(out[p], b.fits(p, max(0, from-n), from)...)
		out[p] = append(out[p], b.fits(p, from, min(to, from+n, i))...)
		out[p] = append(out[p], b.fits(p, i, j)...)
		out[p] = append(out[p], b.fits(p, max(j, to-n), to)...)
		out[p] = append(out[p], b.fits(p, to, min(len(s.of), to+n))...)
	}
	return out
}

// level is what strings within a window are best near to.
func (b *bench) level(r reach) float64 {
	if b.Wish.Near > 0 {
		return float64(b.Wish.Near)
	}
	return (r.low + r.high) / 2
}

// about is all that can matter of what is spread no wider than that about windows.
func (b *bench) about(windows []reach, widest float64) pool {
	out := make(pool, len(b.Positions))
	slices.SortFunc(windows, func(x, y reach) int { return cmp.Compare(x.high, y.high) })
	for len(windows) > 0 {
		all := around(windows[0], widest)
		core := windows[0] // what they have in common
		n := 1
		for ; n < len(windows) && around(windows[n], widest).low <= all.high; n++ {
			r := around(windows[n], widest)
			all = reach{min(all.low, r.low), max(all.high, r.high)}
			core = reach{max(core.low, windows[n].low), min(core.high, windows[n].high)}
		}
		for p := range out {
			out[p] = append(out[p], b.cluster(p, all, core)...)
		}
		windows = windows[n:]
	}
	return out
}

// around is where the strings of a set lie which is spread no wider than that and
// about a window, with what rounding may take away.
func around(r reach, widest float64) reach {
	widest += 1e-12 * (r.high + widest)
	return reach{max(0, r.high-widest), r.low + widest}
}

// cluster is what of a range can matter at a position, all windows in which have a core
// in common.
//
// Any set has its lowest and its highest string at the ends of that or beyond. Another
// string of the core may take the place of one, then, and the set is spread no more.
// As many as are nearest to the level are enough, of which the other positions take all
// but one at most, unless the limit of the total minds which.
func (b *bench) cluster(position int, all, core reach) []fit {
	s := b.shelves[position]
	from, to := s.from(all.low), s.past(all.high)
	free := b.Limits.Total == 0 || b.Wish.Of == Pull && float64(len(b.Positions))*all.high <= float64(b.Limits.Total)
	if !free || core.low > core.high {
		return b.fits(position, from, to)
	}
	i, j := s.from(core.low), s.past(core.high)
	near, past := s.nearest(i, j, b.level(core), len(b.Positions)+b.Alternatives)
	return slices.Concat(b.fits(position, from, i), b.fits(position, near, past), b.fits(position, j, to))
}

// The shortest windows, at most so many.
type shortest struct {
	most int
	all  []reach
}

// limit is how wide a window may be that may be among them.
func (s *shortest) limit() float64 {
	if len(s.all) < s.most {
		return math.Inf(1)
	}
	return s.all[len(s.all)-1].spread()
}

// add puts a window among them, of which no part is one: in each there is a set from
// its lower end to its higher, so that as many sets are known as windows.
func (s *shortest) add(r reach) {
	i, _ := slices.BinarySearchFunc(s.all, r, func(x, y reach) int { return cmp.Compare(x.spread(), y.spread()) })
	if s.all = slices.Insert(s.all, i, r); len(s.all) > s.most {
		s.all = s.all[:s.most]
	}
}
