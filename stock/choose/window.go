package choose

import (
	"cmp"
	"math"
	"slices"
)

// A reach is from one value to another.
type reach struct{ low, high float64 }

func (r reach) spread() float64 { return r.high - r.low }

// A row is strings in their order by what is wished for, of which some positions take
// theirs.
type row struct {
	of        []float64
	str       []int32
	positions []int
	at        int // the first that is not below a low end
	from, to  int // those within a range
}

// seek finds the first that is not below a value, from one that is, in leaps that
// double.
func seek(of []float64, from int, low float64) int {
	if from == len(of) || of[from] >= low {
		return from
	}
	leap := 1
	for from+leap < len(of) && of[from+leap] < low {
		from += leap
		leap *= 2
	}
	i, _ := slices.BinarySearch(of[from+1:min(from+leap, len(of))], low)
	return from + 1 + i
}

// A window slides over rows, the shortest first.
type window struct {
	b      *bench
	rows   []row
	rules  rules
	filled int     // positions that must find a string
	top    float64 // the highest value

	values []float64 // of the strings that are nearest to an end
	match  matching
	priced pool
}

func (b *bench) newWindow(rows []row, r rules, filled int) *window {
	slices.SortStableFunc(rows, func(x, y row) int { return cmp.Compare(len(x.of), len(y.of)) })
	w := &window{b: b, rows: rows, rules: r, filled: filled, match: b.newMatching(r), priced: make(pool, len(b.Positions))}
	for _, row := range rows {
		if n := len(row.of); n > 0 {
			w.top = max(w.top, row.of[n-1])
		}
	}
	return w
}

// each calls found with the ranges within which enough positions find strings of
// their own and keep the limit of the total, of which no part does, and which are no
// wider than a limit at that time, which may fall.
//
// The strings that are first in their rows, from a low end on, tell how high up a range
// from there reaches at least. Where that is too far, so it is from all low ends until it
// is not, which are left out.
func (w *window) each(limit func() float64, found func(reach)) {
	for low := 0.0; ; {
		wide := limit()
		wide += 1e-12 * (low + wide) // what rounding may take away
		high, ok := w.above(low, low+wide)
		if !ok {
			return
		}
		if high-low > wide {
			low = max(high-wide, math.Nextafter(low, w.top))
			continue
		}
		low = w.first()
		r := reach{low, high}
		if !w.enough(r) {
			if r.high = min(low+wide, w.top); !w.enough(r) {
				if !w.enough(reach{low, w.top}) {
					return // nor is anything from further up
				}
				low = math.Nextafter(low, math.Inf(1))
				continue
			}
			r.high = bisect(high, r.high, func(v float64) bool { return w.enough(reach{low, v}) })
		}
		if r.low = w.below(r.high); !w.enough(r) {
			r.low = -bisect(-r.low, -low, func(v float64) bool { return w.enough(reach{-v, r.high}) })
		}
		if r.spread() <= limit() {
			found(r)
		}
		low = math.Nextafter(r.low, math.Inf(1))
	}
}

// bisect is the least number of which something is so, between one of which it is not
// and one of which, and of all above, it is.
func bisect(not, is float64, so func(float64) bool) float64 {
	for {
		middle := not + (is-not)/2
		if middle == not || middle == is {
			return is
		}
		if so(middle) {
			is = middle
		} else {
			not = middle
		}
	}
}

// above is the high end that a range must reach at least which begins at a low one,
// or if that is above a limit, something in between. ok is false where there are too
// few strings. No low end may be below one before it.
func (w *window) above(low, limit float64) (high float64, ok bool) {
	w.values = w.values[:0]
	for i := range w.rows {
		r := &w.rows[i]
		r.at = seek(r.of, r.at, low)
		need := len(r.positions)
		for j := r.at; need > 0 && j < len(r.of); j++ {
			if r.of[j] > limit && w.filled == len(w.b.Positions) {
				return r.of[j], true
			}
			for range min(need, w.b.left(int(r.str[j]))) {
				w.values = append(w.values, r.of[j])
				need--
			}
		}
	}
	if len(w.values) < w.filled {
		return 0, false
	}
	slices.Sort(w.values)
	return w.values[w.filled-1], true
}

// first is the lowest string from there on.
func (w *window) first() float64 { return w.values[0] }

// below is the highest low end that a range may have which ends at a high one, as far
// as the rows tell, that from the last low end being wide enough.
func (w *window) below(high float64) float64 {
	w.values = w.values[:0]
	for i := range w.rows {
		r := &w.rows[i]
		need := len(r.positions)
		for j := seek(r.of, r.at, math.Nextafter(high, math.Inf(1))) - 1; need > 0 && j >= r.at; j-- {
			for range min(need, w.b.left(int(r.str[j]))) {
				w.values = append(w.values, r.of[j])
				need--
			}
		}
	}
	slices.Sort(w.values)
	return w.values[len(w.values)-w.filled]
}

// enough tells whether in a range, which does not begin below the last low end,
// enough positions find strings of their own and keep the limit of the total.
func (w *window) enough(in reach) bool {
	n := len(w.b.Positions)
	for i := range w.rows {
		r := &w.rows[i]
		r.from = seek(r.of, r.at, in.low)
		r.to = seek(r.of, r.from, math.Nextafter(in.high, math.Inf(1)))
		for _, p := range r.positions {
			w.match.lists[p] = r.str[r.from:min(r.to, r.from+n)] // no more can matter
		}
	}
	if w.match.most() < w.filled {
		return false
	}
	total := float64(w.b.Limits.Total)
	if total == 0 || w.b.Wish.Of == Pull && float64(w.filled)*in.high <= total {
		return true
	}
	for i := range w.rows {
		r := &w.rows[i]
		for _, p := range r.positions {
			w.priced[p] = w.b.lightestOf(p, r.of[r.from:r.to], r.str[r.from:r.to], n, byPull)
		}
	}
	set, ok := w.b.best(w.priced, w.rules, byPull.weigh)
	return ok && len(set)-emptyIn(set) >= w.filled && pullOf(set) <= total
}
