package detect

import "math"

const (
	coarse    = 64 // steps of the quantiser to half the range, below which nothing can be told
	flatLeast = 3  // samples of a flat top at least
	flatTops  = 2  // flat tops at one limit exactly: one is chance, several are a limit

	// Behind an analog limit come noise and high-passes: tops are level within
	// nearly of half the range only, but for many periods, as a dying string's own
	// are not.
	nearly   = 0.005
	nearTops = 8

	// A take that was clipped, resampled and clipped again ripples below its limit
	// and comes back to it exactly, from a dip of so many steps and less than so
	// much of half the range.
	rippleGrains = 16
	rippleMost   = 0.25
	rippleTimes  = 4
)

// clips finds where x has run into its limits: the sample indices of the first
// and last flat top, and how many samples stand on one. Limits need not be full
// scale. Coarsely rounded crests, flat too, are told from cut ones by their
// shoulders.
func clips(x []float64) (first, last, count int) {
	hi, lo, grain := extent(x)
	half := (hi - lo) / 2
	if half < coarse*grain {
		return 0, -1, 0
	}
	within := max(nearly*half, grain)
	for _, pass := range [...]func(e *edge){
		func(e *edge) { e.flats(x, 0, grain, flatTops) },
		func(e *edge) { e.ripples(x, rippleGrains*grain, rippleMost*half) },
		func(e *edge) { e.flats(x, within, within, nearTops) },
	} {
		top, bottom := edge{limit: hi, sign: 1}, edge{limit: lo, sign: -1}
		pass(&top)
		pass(&bottom)
		switch {
		case top.count > 0 && bottom.count > 0:
			return min(top.first, bottom.first), max(top.last, bottom.last), top.count + bottom.count
		case top.count > 0:
			return top.first, top.last, top.count
		case bottom.count > 0:
			return bottom.first, bottom.last, bottom.count
		}
	}
	return 0, -1, 0
}

// extent returns the largest and the smallest of x, and the smallest step between
// neighbours: that of the quantiser, or next to nothing where there was none.
func extent(x []float64) (hi, lo, grain float64) {
	if len(x) == 0 {
		return 0, 0, 0
	}
	hi, lo, grain = x[0], x[0], math.Inf(1)
	for i, v := range x[1:] {
		hi, lo = max(hi, v), min(lo, v)
		if d := math.Abs(v - x[i]); d > 0 && d < grain {
			grain = d
		}
	}
	return hi, lo, grain
}

// An edge is one limit and what was found to stand on it.
type edge struct {
	limit, sign        float64
	first, last, count int
}

// below is how far v lies within the limit.
func (e *edge) below(v float64) float64 { return e.sign * (e.limit - v) }

func (e *edge) take(i, j int) {
	if e.count == 0 {
		e.first = i
	}
	e.last = j - 1
	e.count += j - i
}

// flats looks for flat tops within reach of the limit that no crest rounded to
// steps of grain explains, and forgets them where there are fewer than least.
func (e *edge) flats(x []float64, reach, grain float64, least int) {
	tops := 0
	for i := 0; i < len(x); i++ {
		if e.below(x[i]) > reach {
			continue
		}
		j := i + 1
		for j < len(x) && e.below(x[j]) <= reach {
			j++
		}
		if e.cut(x, i, j, grain) {
			tops++
			e.take(i, j)
		}
		i = j
	}
	if tops < least {
		e.count = 0
	}
}

// cut tells whether the flat top [i, j) is no crest. A parabola that stays within
// grain for n samples falls by no more than grain·((3n-1)/(n-1))² in as many beyond
// them; a cut wave goes on to fall from where it was cut. Thrice that, on both
// sides, is taken for cut.
func (e *edge) cut(x []float64, i, j int, grain float64) bool {
	n := j - i
	if n < flatLeast || i == 0 && j == len(x) {
		return false
	}
	ratio := float64(3*n-1) / float64(n-1)
	fall := 3 * grain * ratio * ratio
	for _, beside := range [...][]float64{x[max(0, i-n):i], x[j:min(len(x), j+n)]} {
		deepest := 0.0
		for _, v := range beside {
			deepest = max(deepest, e.below(v))
		}
		if len(beside) > 0 && deepest <= fall {
			return false
		}
	}
	return true
}

// ripples looks for returns to the limit from dips deeper than least and less deep
// than most, and forgets them where they are few.
func (e *edge) ripples(x []float64, least, most float64) {
	times, on, dip := 0, -1, 0.0 // on: the last sample on the limit since which dip is the deepest
	for i, v := range x {
		below := e.below(v)
		if below > 0 {
			dip = max(dip, below)
			continue
		}
		if on >= 0 && dip > least && dip < most {
			times++
			if e.count == 0 || e.last != on {
				e.take(on, on+1)
			}
			e.take(i, i+1)
		}
		on, dip = i, 0
	}
	if times < rippleTimes {
		e.count = 0
	}
}
