package settle

import (
	"math"
	"slices"
)

// A piece is a stretch of pitches, and the least cost of all readings so far if the last
// of them lie at a pitch of that stretch: a x² + b x + c.
type piece struct {
	from, to float64
	a, b, c  float64
	since    int // reading from which on they lie there
}

func (p piece) cost(x float64) float64 { return (p.a*x+p.b)*x + p.c }

// best is where in the stretch the cost is least, and what it is there.
func (p piece) best() (x, cost float64) {
	x = p.from
	if p.a > 0 {
		x = min(max(-p.b/(2*p.a), p.from), p.to)
	} else if p.b < 0 {
		x = p.to
	}
	return x, p.cost(x)
}

// stepwise cuts a series into stretches that each lie at one level, such that the sum of
// min((y−level)²/v, ceiling) over all readings and of a penalty for each cut is the least
// that there is. It returns where the stretches begin, the first at 0. With the ceiling a
// few readings that are something else do not make a stretch of their own. There must be
// at least one reading.
//
// It is exact, by dynamic programming over the level (Fearnhead and Rigaill, J. Am. Stat.
// Assoc. 114 (2019) 169; the pruning is functional as in Maidstone and others, Stat.
// Comput. 27 (2017) 519): that of Killick, Fearnhead and Eckley (ibid. 107 (2012) 1590)
// takes the square of the readings where there is no step to be found.
func stepwise(y, v []float64, ceiling, penalty float64) []int {
	least, most := slices.Min(y), slices.Max(y)
	if least == most {
		return []int{0}
	}
	n := len(y)
	begins := make([]int, n) // of the last stretch, were the series to end at each reading
	pieces, next := []piece{{from: least, to: most}}, []piece{}
	cut := math.Inf(1) // cost of all before, and of a cut
	for t := range n {
		next = capped(pieces, cut, t, next[:0])
		pieces = charged(next, y[t], v[t], ceiling, pieces[:0])
		lowest := math.Inf(1)
		for _, p := range pieces {
			if _, c := p.best(); c < lowest {
				lowest, begins[t] = c, p.since
			}
		}
		cut = lowest + penalty
	}
	var out []int
	for t := n; t > 0; t = out[len(out)-1] {
		out = append(out, begins[t-1])
	}
	slices.Reverse(out)
	return out
}

// capped is the pieces, but where they cost more than a cut at reading t, that.
func capped(pieces []piece, cut float64, t int, into []piece) []piece {
	add := func(p piece) {
		if !(p.to > p.from) {
			return
		}
		if k := len(into) - 1; k >= 0 && into[k].since == t && p.since == t {
			into[k].to = p.to // both are a cut
			return
		}
		into = append(into, p)
	}
	level := piece{c: cut, since: t}
	for _, p := range pieces {
		_, low := p.best()
		if low >= cut {
			level.from, level.to = p.from, p.to
			add(level)
			continue
		}
		left, right := p.from, p.to // between which it is below the cut
		if p.a > 0 {
			half := math.Sqrt(max(0, p.b*p.b-4*p.a*(p.c-cut))) / (2 * p.a)
			left, right = max(p.from, -p.b/(2*p.a)-half), min(p.to, -p.b/(2*p.a)+half)
		}
		level.from, level.to = p.from, left
		add(level)
		inside := p
		inside.from, inside.to = left, right
		add(inside)
		level.from, level.to = right, p.to
		add(level)
	}
	return into
}

// charged adds to the pieces what a reading costs.
func charged(pieces []piece, y, v, ceiling float64, into []piece) []piece {
	reach := math.Sqrt(ceiling * v)
	for _, p := range pieces {
		at := p.from
		for _, part := range [...]struct {
			to   float64
			near bool
		}{{y - reach, false}, {y + reach, true}, {math.Inf(1), false}} {
			to := min(p.to, part.to)
			if !(to > at) {
				continue
			}
			q := p
			q.from, q.to = at, to
			if part.near {
				q.a += 1 / v
				q.b -= 2 * y / v
				q.c += y * y / v
			} else {
				q.c += ceiling
			}
			into = append(into, q)
			at = to
		}
	}
	return into
}
