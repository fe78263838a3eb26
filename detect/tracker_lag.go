package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

const (
	// The longest period looked for is this part of the window: what returns only
	// twice might do so by chance.
	windowPart   = 0.42
	interpolated = 8 // correlations to either side that one between is made from

	// How far below the highest peak of the correlation a shorter period may lie. A
	// partial of the share q of the power that is not of the shorter period's series
	// costs it 2q: 0.04 stands for 17 dB under the whole. Noise costs all peaks alike
	// but for chance, which the highest's own distance from 1 stands for.
	shorterBy    = 0.04
	shorterHeld  = 0.012 // than the established one
	keepHeld     = 0.1   // that of the established one
	firmBy       = 0.06  // by how much all shorter must miss for the period to be firm
	shorterHum   = 0.3   // more, times the background's share of the power
	shorterLeast = 0.8   // of the highest at least
	// From this part of the highest on, a shorter period in a young pluck may yet
	// turn out to be the one.
	doubtful = 0.75
	multiple = 0.8 // of a period's peak, that a multiple's must reach to be measured by
)

// longestLag is the longest period looked for, in samples.
func longestLag(rate float64) int { return int(rate/lowestF0) + 1 }

// lagQuery is what a period is looked for with.
type lagQuery struct {
	rate  float64
	hush  []float64 // background's mean product with itself, by lag
	share float64   // of the background in the power
	held  float64   // Hz, established before; 0 for none
	firm  bool      // and nothing shorter came near it
	least float64   // correlation without which there is no period
	young bool
}

// lags finds periods by the normalised correlation of a stretch of sound with
// itself. At the tracker's low rates and short windows the plain sum over a few
// hundred lags, by gonum's vector unit, costs less than two Fourier transforms
// (see BenchmarkLags).
type lags struct {
	r    []float64 // by lag
	wide []float64 // the same, continued to both sides
	fine []float64 // by half a lag
	mid  [2 * interpolated]float64
}

// newLags serves rates up to rate.
func newLags(rate float64) *lags {
	n := longestLag(rate) + 1 + interpolated
	l := &lags{r: make([]float64, n), wide: make([]float64, n+2*interpolated), fine: make([]float64, 2*n)}
	for i := range l.mid {
		const beta = 6 // Kaiser's, enough for a correlation that ends at 0.7 of the band
		t := float64(i) - interpolated + 0.5
		u := t / interpolated
		l.mid[i] = sinc(t) * bessel0(beta*math.Sqrt(1-u*u)) / bessel0(beta)
	}
	return l
}

// period finds the fundamental of x in Hz, or 0. It is firm where no shorter
// period came near it.
func (l *lags) period(x []float64, in lagQuery) (hz float64, firm bool) {
	low := int(in.rate / highestF0)
	n := min(longestLag(in.rate), int(windowPart*float64(len(x))))
	if n < low+2 {
		return 0, false
	}
	r := l.between(l.correlate(x, in.hush, min(n+1+interpolated, len(x))), n+1)
	in.rate *= 2
	i, firm := l.choose(r, 2*low, in)
	if i == 0 {
		return 0, false
	}
	if hz = in.rate / l.refine(r, i); hz > 1.02*highestF0 {
		return 0, false
	}
	return hz, firm
}

// correlate returns the correlation of x at lags 0 to n-1, normalised by the mean
// energy of the two stretches compared, after what the background brings to both
// has been taken off.
func (l *lags) correlate(x, hush []float64, n int) []float64 {
	r := l.r[:n]
	energy := floats.Dot(x, x)
	head, tail := energy, energy
	for lag := range r {
		m := len(x) - lag
		if lag > 0 {
			head -= x[m] * x[m]
			tail -= x[lag-1] * x[lag-1]
		}
		sum, norm := floats.Dot(x[:m], x[lag:]), (head+tail)/2
		if quiet := hush[0] * float64(m); quiet < 0.9*norm {
			norm -= quiet
			sum -= hush[lag] * float64(m)
		}
		r[lag] = 0
		if norm > energy*1e-6 {
			r[lag] = sum / norm
		}
	}
	return r
}

// between puts a value between every two of the first n of r, which is as even in
// its lag as any correlation and as limited in band.
func (l *lags) between(r []float64, n int) []float64 {
	w := l.wide[:len(r)+2*interpolated]
	for i := range interpolated {
		w[i] = r[min(interpolated-i, len(r)-1)]
		w[interpolated+len(r)+i] = r[len(r)-1]
	}
	copy(w[interpolated:], r)
	for i := range n {
		l.fine[2*i] = r[i]
		l.fine[2*i+1] = floats.Dot(l.mid[:], w[i+1:i+1+2*interpolated])
	}
	return l.fine[:2*n]
}

// choose returns the place of the peak that stands for the period, 0 where there
// is none or it is too early to say, and whether it is firm.
func (l *lags) choose(r []float64, low int, in lagQuery) (place int, firm bool) {
	top := 0.0
	for i := low; i+1 < len(r); i++ {
		_, h := peakAt(r, i)
		top = max(top, h)
	}
	if top < in.least {
		return 0, false
	}
	top = min(top, 1)
	second := 0.0
	for i := low; i+1 < len(r); i++ {
		lag, h := peakAt(r, i)
		if h == 0 {
			continue
		}
		if h >= max(shorterLeast*top, 2*top-1-in.leeway(in.rate/lag)-shorterHum*in.share) {
			return i, second < top-firmBy
		}
		if in.young && h > doubtful*top {
			return 0, false
		}
		second = max(second, h)
	}
	return 0, false
}

// leeway is how far below the highest peak that of a period of hz may lie.
func (in lagQuery) leeway(hz float64) float64 {
	switch q := hz / in.held; {
	case in.held == 0 || q < 1-samePer:
		return shorterBy
	case q < 1+samePer:
		return keepHeld
	case in.firm:
		return -1 // never: partials have died since
	}
	return shorterHeld
}

// refine returns the period whose peak is at place i, measured by the highest of
// its multiples that stands out.
func (l *lags) refine(r []float64, i int) float64 {
	lag, height := peakAt(r, i)
	for k := 2.0; ; k++ {
		at, reach := int(math.Round(k*lag)), max(1, int(0.2*lag))
		if at+reach+1 >= len(r) {
			return lag
		}
		best, top := 0.0, multiple*height
		for j := at - reach; j <= at+reach; j++ {
			if p, h := peakAt(r, j); h > top {
				best, top = p, h
			}
		}
		if best == 0 {
			return lag
		}
		lag = best / k
	}
}

// peakAt returns the place and height of the parabola through r[i] and its
// neighbours, height 0 where r[i] is no positive peak.
func peakAt(r []float64, i int) (place, height float64) {
	if !(r[i] > 0 && r[i] > r[i-1] && r[i] >= r[i+1]) {
		return float64(i), 0
	}
	d := vertex(r[i-1], r[i], r[i+1])
	return float64(i) + d, r[i] - 0.25*(r[i-1]-r[i+1])*d
}
