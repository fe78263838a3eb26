package detect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	alikeLeast  = 3    // partials without which it is not asked whether they die alike
	alikeHops   = 8    // hops likewise
	alikeNepers = 2.3  // under its loudest, to which a partial is compared: 20 dB
	untoldFall  = 300. // 1/s: as fast as any partial dies, where too little is told of it
	alikeFall   = 0.3  // nepers that they must fall together: a steady sound tells nothing
	alikeChance = 1e-3 // with which a string may be taken for a sound that is faded
	leastB      = 2e-6 // less inharmonicity than any string has
	// leastSpread is the least relative spread of a string's decays. Each partial
	// loses to the air, the string's own friction and the ends in shares of its own
	// (Fletcher & Rossing, The Physics of Musical Instruments), so that real ones
	// differ by far more.
	leastSpread = 0.05
)

// faded tells whether the partials of a finished fit share one envelope: a string's
// each die by themselves, those of an organ or an oscillator die together, as the
// sound is turned down, and whatever the shape of the fade. It is the lower tail of
// the χ² of their falls, were they to spread as little as a string's can; noise adds
// to the spread, so that a faint sound is never called so. A string that is muted
// may come near it, and has its inharmonicity besides.
func faded(trails []trail) bool {
	falls := sharedFalls(trails)
	if len(falls) < alikeLeast {
		return false
	}
	common := make([]float64, len(falls[0]))
	for _, v := range falls {
		for i, x := range v {
			common[i] += x / float64(len(falls))
		}
	}
	mean, low := 0.0, common[0]
	for _, x := range common {
		mean += x / float64(len(common))
		low = min(low, x)
	}
	if common[0]-low < alikeFall {
		return false
	}
	ss := 0.0
	for _, x := range common {
		ss += (x - mean) * (x - mean)
	}
	chi2 := 0.0
	for _, v := range falls {
		share := 0.0 // of the common fall, 1 on average
		for i, x := range common {
			share += (x - mean) * v[i] / ss
		}
		chi2 += (share - 1) * (share - 1) / (leastSpread * leastSpread)
	}
	return distuv.ChiSquared{K: float64(len(falls) - 1)}.CDF(chi2) < alikeChance
}

// fall is how fast the partials together die, 1/s: the median slope of their level
// between any two hops (Theil 1950; Sen 1968), which a tone's beginning and end do not
// sway. Past where they are heard nothing is told; too little told is as if they fell.
func fall(trails []trail) float64 {
	var t, level []float64
	for i := range longestTrail(trails) {
		power, followed := 0.0, false
		for _, tr := range trails {
			if i >= tr.edge && i < len(tr.level)-tr.edge {
				power += math.Exp(2 * tr.level[i])
				followed = followed || tr.power[i] > 0
			}
		}
		if followed {
			t, level = append(t, float64(i)*trailHop), append(level, math.Log(power)/2)
		}
	}
	var slopes []float64
	for i := range t {
		for j := range i {
			slopes = append(slopes, (level[j]-level[i])/(t[i]-t[j]))
		}
	}
	if len(t) < alikeHops {
		return untoldFall
	}
	slices.Sort(slopes)
	return slopes[len(slopes)/2]
}

// longestTrail is the number of hops of the longest.
func longestTrail(trails []trail) int {
	n := 0
	for _, tr := range trails {
		n = max(n, len(tr.level))
	}
	return n
}

// harmonic tells whether the partials may lie at exact multiples, as no string's do.
func (p *Pluck) harmonic(f *fit) bool {
	return !p.BKnown || p.B.V < leastB+3*math.Hypot(p.B.U, math.Hypot(p.alien, p.stray)*f.tilt())
}

// sharedFalls is the levels of the partials, nepers at each hop, over the longest
// time from the start in which three in four of them are heard, of those that are
// heard all the while.
func sharedFalls(trails []trail) [][]float64 {
	if len(trails) == 0 {
		return nil
	}
	var ends []int
	first := 0
	for _, tr := range trails {
		first = max(first, tr.edge)
	}
	alive := make([]int, longestTrail(trails)+1)
	for _, tr := range trails {
		end := tr.dies(first)
		ends = append(ends, end)
		for i := first; i < end; i++ {
			alive[i]++
		}
	}
	last := first
	for 4*alive[last] >= 3*len(trails) {
		last++
	}
	if last-first < alikeHops {
		return nil
	}
	var falls [][]float64
	for k, tr := range trails {
		if ends[k] >= last {
			falls = append(falls, tr.level[first:last])
		}
	}
	return falls
}

// dies is the first hop after from at which the partial has fallen too far to be
// compared.
func (tr trail) dies(from int) int {
	top := math.Inf(-1)
	for i := from; i < len(tr.level)-tr.edge; i++ {
		top = max(top, tr.level[i])
		if tr.level[i] < top-alikeNepers {
			return i
		}
	}
	return len(tr.level) - tr.edge
}
