package choose

import (
	"cmp"
	"math"
	"slices"
	"sort"
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

	// What may be in a set that costs as much as the best one known, for each position, the
	// lightest first, and what the positions weigh together at the least.
	kept  [][]weighed
	bound float64

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

// within is the set that costs least, nil where none keeps the budget. ok is false
// where there are too many to look at.
func (s *search) within(budget float64) (set []fit, ok bool) {
	room := s.room(budget)
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

// room is what a set may weigh that costs no more than a budget.
func (s *search) room(budget float64) float64 {
	room := budget + s.price*s.total
	room += 1e-12 * room // what rounding may take away
	for str, off := range s.scarce {
		room -= off * float64(s.b.left(str))
	}
	return room
}

// with is a part with a fit at one more position, nil where that cannot be or costs too
// much.
func (s *search) with(p *part, at *stage, f weighed, room float64) *part {
	pull, priced, left := p.pull, p.priced, s.empty-p.empty-at.bare // of the others to come
	if f.str == empty {
		left--
	} else {
		pull += f.pull
		priced += f.weight
	}
	// What does not make use of the limit has paid for it.
	unused := s.price * max(0, s.total-pull-at.most)
	if left < 0 || priced+rest(at.priced, left)+unused > room || pull+rest(at.pulls, left) > s.total*(1+1e-12) {
		return nil
	}
	q := &part{pull: pull, cost: p.cost, priced: priced, empty: p.empty, used: p.used, fit: f.fit, before: p}
	if f.str == empty {
		q.empty++
	} else {
		q.cost += s.cost(f.fit)
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

// keep looks through the pool for what may be in a set that costs no more than that much.
func (s *search) keep(upper float64) {
	room := s.room(upper)
	weights := make([][]float64, len(s.pool))
	least := make([]float64, len(s.pool))
	var all []float64
	for p, list := range s.pool {
		weights[p] = make([]float64, len(list))
		least[p] = math.Inf(1)
		for i, f := range list {
			weights[p][i] = s.priced(f)
			if v := weights[p][i]; v < least[p] && s.rules.allow(p, f.str) {
				least[p] = v
			}
		}
		if !math.IsInf(least[p], 1) {
			all = append(all, least[p])
		}
	}
	slices.SortFunc(all, func(x, y float64) int { return cmp.Compare(y, x) })
	s.bound = rest(all, max(0, len(all)+s.empty-len(s.pool))) // those that have nothing are empty anyhow
	s.kept = make([][]weighed, len(s.pool))
	for p, list := range s.pool {
		for i, f := range list {
			if s.bound-least[p]+weights[p][i] <= room && s.rules.allow(p, f.str) {
				s.kept[p] = append(s.kept[p], weighed{f, weights[p][i]})
			}
		}
		slices.SortFunc(s.kept[p], func(x, y weighed) int { return cmp.Compare(x.weight, y.weight) })
	}
}

// lists are, for each position, what may be in a set whose price has so much room, the
// lightest first. An empty position counts as one with a fit.
func (s *search) lists(room float64) [][]weighed {
	out := make([][]weighed, len(s.kept))
	for p, list := range s.kept {
		n := sort.Search(len(list), func(i int) bool { return s.bound-list[0].weight+list[i].weight > room })
		out[p] = list[:n:n]
		if s.empty > 0 && s.rules.allow(p, empty) {
			out[p] = append(out[p], weighed{fit: fit{str: empty}})
		}
	}
	return out
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
