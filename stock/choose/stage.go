package choose

import (
	"cmp"
	"slices"
)

// A stage is a position and what is known of those that are still to come.
type stage struct {
	position int
	fits     []weighed    // the lightest first
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

// stages are the positions in the order in which they are gone through: such after each
// other as may want the same strings, and these first, since what the others make at the
// least is not known so well before.
func (s *search) stages(lists [][]weighed) []stage {
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
				least, low = f.weight, f.pull
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
