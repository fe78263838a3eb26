package choose

import (
	"math"
	"slices"
	"sort"

	"pluckweigh/physics"
	"pluckweigh/stock/internal/parallel"
	"pluckweigh/stock/traits"
)

// A shelf is the strings that may go to a position, the lowest first by what the wish
// is about. Of those that are alike there no more stand on it than can matter.
type shelf struct {
	position int // the first that it is for
	of       []float64
	str      []int32
	stretch  float64 // N, the most that a core's being stretched adds to of
}

// An alikeness is what must be the same of positions for a shelf to serve them both.
type alikeness struct {
	place
	ends physics.Ends
	kind traits.Kind
	slot Slot
}

// shelve makes the shelves.
func (b *bench) shelve() {
	b.shelves = make([]*shelf, len(b.places))
	known := map[alikeness]*shelf{}
	var all []*shelf
	for i, p := range b.places {
		at := &b.Positions[i]
		like := alikeness{p, at.Ends, at.Kind, at.Slot}
		if b.Wish.Within == 0 {
			like.target = 0 // the shelf is the same for any
		}
		if known[like] == nil {
			known[like] = &shelf{position: i}
			all = append(all, known[like])
		}
		b.shelves[i] = known[like]
	}
	parallel.Do(len(all), func(from, to int) {
		for _, s := range all[from:to] {
			b.fill(s)
		}
	})
}

// fill puts strings on a shelf.
func (b *bench) fill(s *shelf) {
	p, at := &b.places[s.position], &b.Positions[s.position]
	within := math.Inf(1)
	if b.Wish.Within > 0 {
		within = float64(b.Wish.Within)
	}
	s.of, s.str = make([]float64, 0, len(b.strings)), make([]int32, 0, len(b.strings))
	for i := range b.strings {
		x := &b.strings[i]
		if !b.allows(at, x) {
			continue
		}
		pull := b.pull(s.position, i)
		if pull > x.most {
			continue
		}
		of := b.of(s.position, i, pull)
		if math.Abs(of-p.target) > within {
			continue
		}
		s.of, s.str = append(s.of, of), append(s.str, int32(i))
		s.stretch = max(s.stretch, p.draw*x.axial)
	}
	s.sort()
	s.thin(b)
}

// sort sorts by of, and what is the same by the number of the string. The bits of
// floating-point numbers above zero are in the order of the numbers: they are dealt out
// to about as many slots as there are numbers, and few meet in one.
func (s *shelf) sort() {
	n := len(s.of)
	if n < 2 {
		return
	}
	low, high := math.Float64bits(slices.Min(s.of)), math.Float64bits(slices.Max(s.of))
	shift := 0
	for (high-low)>>shift >= uint64(2*n) {
		shift++
	}
	slot := func(of float64) uint64 { return (math.Float64bits(of) - low) >> shift }
	ends := make([]int32, (high-low)>>shift+2)
	for _, of := range s.of {
		ends[slot(of)+1]++
	}
	for i := 1; i < len(ends); i++ {
		ends[i] += ends[i-1]
	}
	of, str := make([]float64, n), make([]int32, n)
	for i, v := range s.of {
		at := &ends[slot(v)] // where it begins, and when all are dealt out where it ends
		of[*at], str[*at] = v, s.str[i]
		*at++
	}
	s.of, s.str = of, str
	begin := int32(0)
	for _, end := range ends[:len(ends)-1] {
		if met := end - begin; met > manyMet {
			if met := (&shelf{of: of[begin:end], str: str[begin:end]}); !sort.IsSorted(met) {
				sort.Stable(met)
			}
		} else if met > 1 {
			insertion(of[begin:end], str[begin:end])
		}
		begin = end
	}
}

// manyMet are more than are soon sorted by putting one after another in its place.
const manyMet = 16

func insertion(of []float64, str []int32) {
	for i := 1; i < len(of); i++ {
		v, x := of[i], str[i]
		j := i
		for ; j > 0 && of[j-1] > v; j-- {
			of[j], str[j] = of[j-1], str[j-1]
		}
		of[j], str[j] = v, x
	}
}

// Len, Less and Swap are for sort.Stable.
func (s *shelf) Len() int           { return len(s.of) }
func (s *shelf) Less(i, j int) bool { return s.of[i] < s.of[j] }
func (s *shelf) Swap(i, j int) {
	s.of[i], s.of[j] = s.of[j], s.of[i]
	s.str[i], s.str[j] = s.str[j], s.str[i]
}

// thin leaves of strings that are and pull the same there no more than can matter: as
// many as there are positions, of which the others take at most all but one, and one
// more for each set that is wanted besides.
func (s *shelf) thin(b *bench) {
	most := len(b.Positions) + b.Alternatives
	to, run := 0, 0
	for i := range s.of {
		if i > 0 && s.of[i] == s.of[i-1] && (b.Wish.Of == Pull || b.pull(s.position, int(s.str[i])) == b.pull(s.position, int(s.str[i-1]))) {
			run++
		} else {
			run = 0
		}
		if run < most {
			s.of[to], s.str[to] = s.of[i], s.str[i]
			to++
		}
	}
	s.of, s.str = s.of[:to], s.str[:to]
}

// from is the first on the shelf that is not below a value.
func (s *shelf) from(low float64) int {
	i, _ := slices.BinarySearch(s.of, low)
	return i
}

// past is the first that is above it.
func (s *shelf) past(high float64) int {
	return sort.Search(len(s.of), func(i int) bool { return s.of[i] > high })
}

// nearest are those n of a part of the shelf that are nearest to a value.
func (s *shelf) nearest(from, to int, value float64, n int) (i, j int) {
	i = min(max(from, s.from(value)), to)
	j = i
	for j-i < n && (i > from || j < to) {
		if j == to || i > from && value-s.of[i-1] <= s.of[j]-value {
			i--
		} else {
			j++
		}
	}
	return i, j
}

// fits are those of a position, from one place on its shelf to another.
func (b *bench) fits(position, from, to int) []fit {
	var out []fit
	for _, str := range b.shelves[position].str[from:max(from, to)] {
		out = append(out, b.fit(position, int(str)))
	}
	return out
}

// A scale weighs fits: share of what they cost and, for each newton that they pull, a
// price, neither below zero.
type scale struct{ share, price float64 }

func (s scale) weigh(f fit) float64 { return s.share*f.cost + s.price*f.pull }

// least is a bound: no fit at the position that has this of, or one further off the
// lightest, weighs less.
func (b *bench) least(position int, s scale, of float64) float64 {
	p := &b.places[position]
	off := of - p.target
	w := s.price * (of - b.shelves[position].stretch) / p.side
	if p.wanted {
		w += s.share * off * off
	}
	return w
}

// middle is where the bound is least: it is a parabola in of, or a line that rises.
func (b *bench) middle(position int, by scale) float64 {
	p := &b.places[position]
	if !p.wanted || by.share == 0 {
		return math.Inf(-1)
	}
	return p.target - by.price/(2*by.share*p.side)
}

// lightest are those n fits of a position that weigh least.
func (b *bench) lightest(position, n int, by scale) []fit {
	s := b.shelves[position]
	return b.lightestOf(position, s.of, s.str, n, by)
}

// lightestOf are those of a part of the shelf.
func (b *bench) lightestOf(position int, of []float64, str []int32, n int, by scale) []fit {
	up, _ := slices.BinarySearch(of, b.middle(position, by))
	down := up - 1
	l := lightest{n: n}
	for down >= 0 || up < len(of) {
		i := up
		if up == len(of) || down >= 0 && b.least(position, by, of[down]) < b.least(position, by, of[up]) {
			i = down
			down--
		} else {
			up++
		}
		if !l.wants(b.least(position, by, of[i])) {
			break // all that follow weigh no less
		}
		f := b.fit(position, int(str[i]))
		if w := by.weigh(f); l.wants(w) {
			l.add(f, w)
		}
	}
	return l.sorted()
}
