package choose

import (
	"cmp"
	"math"
	"slices"
)

// A search goes through all sets out of a pool that keep the limit of the total and
// cost no more than a budget, position by position.
//
// At the price of the pull that bounds what sets cost, each fit is dearer than the
// lightest at its position by so much, and all that of a set must be within the budget:
// few fits are left where that is near the bound. Of what some of the positions can have,
// only that matters of which nothing both pulls and costs less and leaves as many of the
// strings that others may want (Nemhauser and Ullmann 1969).
type search struct {
	b     *bench
	pool  pool
	rules rules
	cost  func(fit) float64
	price float64
	total float64
	empty int // positions that stay empty
	most  int // parts of sets that may still be looked at

	// Strings that several positions would have, at a price that takes this off for each
	// copy; see assign. What all fits are dearer by for it is off the budget again.
	scarce map[int]float64
}

// A part is what some of the positions have.
type part struct {
	pull, cost, priced float64
	empty              int
	used               []int32 // strings that others may want, in order
	fit                fit     // of its last position
	before             *part
}

// A stage is a position and what is known of those that are still to come.
type stage struct {
	position int
	fits     []fit        // the lightest first
	lasts    map[int]bool // strings that may be wanted more often than they are left; whether none wants them after this
	priced   []float64    // the least of each position to come, the largest first
	pulls    []float64
	most     float64 // that they can pull
	bare     int     // of the positions to come, those that nothing is left for
}

// rest is the least that the positions make together of which so many stay empty.
func rest(least []float64, empty int) float64 {
	v := 0.0
	for _, x := range least[min(empty, len(least)):] {
		v += x
	}
	return v
}

// within is the set that costs least, nil where none keeps the budget. ok is false
// where there are too many to look at.
func (s *search) within(budget float64) (set []fit, ok bool) {
	room := budget + s.price*s.total
	room += 1e-12 * room // what rounding may take away
	for str, off := range s.scarce {
		room -= off * float64(s.b.left(str))
	}
	stages := s.stages(s.lists(room))
	parts := []*part{{}}
	for i := range stages {
		at := &stages[i]
		var next []*part
		for _, p := range parts {
			for _, f := range at.fits {
				if q := s.with(p, at, f, room); q != nil {
					next = append(next, q)
				}
			}
			if len(next) > s.most {
				return nil, false
			}
		}
		s.most -= len(next)
		parts = undominated(next)
	}
	var best *part
	for _, p := range parts {
		if p.empty == s.empty && (best == nil || p.cost < best.cost) && pullOf(s.set(stages, p)) <= s.total {
			best = p
		}
	}
	if best == nil {
		return nil, true
	}
	return s.set(stages, best), true
}

func (s *search) priced(f fit) float64 { return s.cost(f) + s.price*f.pull - s.scarce[f.str] }

// with is a part with a fit at one more position, nil where that cannot be or costs too
// much.
func (s *search) with(p *part, at *stage, f fit, room float64) *part {
	pull, priced, left := p.pull, p.priced, s.empty-p.empty-at.bare // of the others to come
	if f.str == empty {
		left--
	} else {
		pull += f.pull
		priced += s.priced(f)
	}
	// What does not make use of the limit has paid for it.
	unused := s.price * max(0, s.total-pull-at.most)
	if left < 0 || priced+rest(at.priced, left)+unused > room || pull+rest(at.pulls, left) > s.total*(1+1e-12) {
		return nil
	}
	q := &part{pull: pull, cost: p.cost, priced: priced, empty: p.empty, used: p.used, fit: f, before: p}
	if f.str == empty {
		q.empty++
	} else {
		q.cost += s.cost(f)
	}
	if len(at.lasts) == 0 {
		return q
	}
	q.used = nil
	used := 0
	_, contested := at.lasts[f.str]
	for _, str := range p.used {
		if int(str) == f.str {
			used++
		}
		if !at.lasts[int(str)] {
			q.used = append(q.used, str)
		}
	}
	if contested && used >= s.b.left(f.str) {
		return nil
	}
	if contested && !at.lasts[f.str] {
		i, _ := slices.BinarySearch(q.used, int32(f.str))
		q.used = slices.Insert(q.used, i, int32(f.str))
	}
	return q
}

// lists are, for each position, what may be in a set whose price has so much room, the
// lightest first. An empty position counts as one with a fit.
func (s *search) lists(room float64) [][]fit {
	out := make([][]fit, len(s.pool))
	least := make([]float64, len(s.pool))
	var all []float64
	for p, list := range s.pool {
		least[p] = math.Inf(1)
		for _, f := range list {
			if v := s.priced(f); v < least[p] && s.rules.allow(p, f.str) {
				least[p] = v
			}
		}
		if !math.IsInf(least[p], 1) {
			all = append(all, least[p])
		}
	}
	slices.SortFunc(all, func(x, y float64) int { return cmp.Compare(y, x) })
	bound := rest(all, max(0, len(all)+s.empty-len(out))) // those that have nothing are empty anyhow
	for p, list := range s.pool {
		for _, f := range list {
			if bound-least[p]+s.priced(f) <= room && s.rules.allow(p, f.str) {
				out[p] = append(out[p], f)
			}
		}
		slices.SortFunc(out[p], func(x, y fit) int { return cmp.Compare(s.priced(x), s.priced(y)) })
		if s.empty > 0 && s.rules.allow(p, empty) {
			out[p] = append(out[p], fit{str: empty})
		}
	}
	return out
}

// stages are the positions in the order in which they are gone through: such after each
// other as may want the same strings, and these first, since what the others make at the
// least is not known so well before.
func (s *search) stages(lists [][]fit) []stage {
	wanted := map[int][]int{} // by which positions
	for p, list := range lists {
		for _, f := range list {
			if f.str != empty {
				wanted[f.str] = append(wanted[f.str], p)
			}
		}
	}
	group := make([]int, len(lists))
	for p := range group {
		group[p] = p
	}
	for str, positions := range wanted {
		if len(positions) <= s.b.left(str) {
			delete(wanted, str)
			continue
		}
		for _, p := range positions[1:] {
			one, other := group[positions[0]], group[p]
			for q := range group {
				if group[q] == other {
					group[q] = one
				}
			}
		}
	}
	out := make([]stage, len(lists))
	for p := range lists {
		out[p] = stage{position: p, fits: lists[p]}
	}
	size := make([]int, len(lists))
	for _, g := range group {
		size[g]++
	}
	slices.SortStableFunc(out, func(x, y stage) int {
		g, h := group[x.position], group[y.position]
		return cmp.Or(cmp.Compare(size[h], size[g]), cmp.Compare(g, h))
	})
	s.look(out, wanted)
	return out
}

// look notes at each stage what is still to come, and which of the strings that are
// wanted too often.
func (s *search) look(stages []stage, wanted map[int][]int) {
	order := make([]int, len(stages)) // of a position, the place among the stages
	for i, at := range stages {
		order[at.position] = i
	}
	for str, positions := range wanted {
		first, last := len(stages), 0
		for _, p := range positions {
			first, last = min(first, order[p]), max(last, order[p])
		}
		for i := first; i <= last; i++ {
			if stages[i].lasts == nil {
				stages[i].lasts = map[int]bool{}
			}
			stages[i].lasts[str] = i == last
		}
	}
	var priced, pulls []float64
	most, bare := 0.0, 0
	for i := len(stages) - 1; i >= 0; i-- {
		at := &stages[i]
		at.priced, at.pulls, at.most, at.bare = slices.Clone(priced), slices.Clone(pulls), most, bare
		if len(at.fits) == 0 || at.fits[0].str == empty {
			bare++
			continue
		}
		least, low, high := 0.0, 0.0, 0.0
		for k, f := range at.fits {
			if f.str == empty {
				break // the last
			}
			if k == 0 {
				least, low = s.priced(f), f.pull
			}
			low, high = min(low, f.pull), max(high, f.pull)
		}
		most += high
		for _, v := range []struct {
			all *[]float64
			x   float64
		}{{&priced, least}, {&pulls, low}} {
			j, _ := slices.BinarySearchFunc(*v.all, v.x, func(x, y float64) int { return cmp.Compare(y, x) })
			*v.all = slices.Insert(*v.all, j, v.x)
		}
	}
}

// undominated leaves those parts of which none that leaves as much both pulls and costs
// less, but for rounding.
func undominated(parts []*part) []*part {
	slices.SortFunc(parts, func(x, y *part) int {
		switch {
		case x.empty != y.empty:
			return x.empty - y.empty
		case len(x.used)+len(y.used) > 0 && !slices.Equal(x.used, y.used):
			return slices.Compare(x.used, y.used)
		case x.pull < y.pull:
			return -1
		case x.pull > y.pull:
			return 1
		}
		return cmp.Compare(x.cost, y.cost)
	})
	n := 0
	for _, p := range parts {
		if n > 0 {
			last := parts[n-1]
			if last.empty == p.empty && slices.Equal(last.used, p.used) && p.cost >= last.cost*(1-1e-14) {
				continue
			}
		}
		parts[n] = p
		n++
	}
	return parts[:n]
}

// set is what a part has at all positions.
func (s *search) set(stages []stage, p *part) []fit {
	out := make([]fit, len(s.pool))
	for i := len(stages) - 1; i >= 0; i-- {
		out[stages[i].position] = p.fit
		p = p.before
	}
	return out
}
