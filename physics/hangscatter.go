package physics

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/physics/straight"
)

// loosen fits points that scatter about their line by more than chance makes of their
// uncertainties: extra is the standard deviation, in x, that all of them have beside
// these, such that chi-square comes to its degrees of freedom (Paule & Mandel, Journal
// of Research of the National Bureau of Standards 87 (1982) 377). A rig that rubs errs
// by a force that is much the same for light loads and heavy ones; to widen all
// uncertainties by one factor would still go by the light ones. extra is zero where
// chance explains the scatter.
func loosen(points []point) (l line, extra float64, ok bool) {
	l, ok = fitLine(points)
	if !ok || l.birge() == 1 {
		return l, 0, ok
	}
	try := func(extra float64) bool {
		l, ok = fitLine(spread(points, extra))
		return ok && l.chi2 > float64(l.free())
	}
	low, high := 0.0, math.Sqrt(l.chi2/l.weights[0])/math.Abs(l.slope)
	for steps := 0; try(high) && steps < 100; steps++ {
		low, high = high, 2*high
	}
	for steps := 0; ok && high-low > 1e-6*high && steps < 100; steps++ {
		if middle := (low + high) / 2; try(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	try(high)
	return l, high, ok
}

// spread are the points with so much more uncertainty in x.
func spread(points []point, extra float64) []point {
	out := make([]point, len(points))
	for i, p := range points {
		p.ux = math.Hypot(p.ux, extra)
		out[i] = p
	}
	return out
}

// parts are the standard uncertainties of the slope, relative, that come of the
// loads, of f0 and of what the points scatter beyond these. The last, estimated from few
// points, is widened so that twice it covers 95 % as it would from many.
func (h Hung) parts() (loads, pitches, scatter float64) {
	l := h.line
	for i, p := range l.points {
		k := l.leverage(i)
		extra := float64(h.Extra)
		loads += k * k * (p.ux*p.ux - extra*extra)
		pitches += k * k * p.uy * p.uy
		scatter += k * k * extra * extra
	}
	loads, pitches = math.Sqrt(max(0, loads)), math.Sqrt(pitches)/l.slope
	if h.Extra > 0 {
		scatter = math.Sqrt(scatter) * h.fewer()
	}
	return loads, pitches, scatter
}

// fewer is by how much a scatter that was estimated from few points is widened, so that
// twice it covers 95 %.
func (h Hung) fewer() float64 {
	return distuv.StudentsT{Sigma: 1, Nu: float64(h.Free)}.Quantile(0.975) / Coverage
}

// weighed is what comes of the loads in parts if each was known to so much of it, or
// better where it is.
func (h Hung) weighed(relative float64) float64 {
	sum, extra := 0.0, float64(h.Extra)
	for i, p := range h.line.points {
		k := h.line.leverage(i)
		sum += k * k * min(max(0, p.ux*p.ux-extra*extra), relative*relative*p.x*p.x)
	}
	return math.Sqrt(sum)
}

// leverage is by how much the slope changes with the y of a point: the variance of the
// slope is the sum of what each coordinate of each point gives to it.
func (l line) leverage(i int) float64 { return l.weights[i] * (l.points[i].x - l.meanX) * l.varSlope }

// widened is by what factor all variances of the line are taken for larger because its
// scatter was estimated from few points.
func (h Hung) widened() float64 {
	loads, pitches, scatter := h.parts()
	l := h.line
	return (loads*loads + pitches*pitches + scatter*scatter) * l.slope * l.slope / l.varSlope
}

// verdict finds what is wrong with points that lie on no line, l with their own
// uncertainties and loose with what loosen adds: one of them is (odd, else −1), or all
// follow a curve (bent, else 0). It says nothing where chance would do as much in more
// than one set of points in a hundred, where too few points are left to tell, where
// all may as well scatter alike, and of two explanations the weaker.
func verdict(l, loose line) (odd, bent int) {
	const surprising, usual = 0.01, 0.05
	left := l.free() - 1
	if left < 1 {
		return -1, 0
	}
	explains := func(rest, looseRest, tries float64) bool {
		fall := l.chi2 - rest
		p := straight.Chance(fall, 1)
		if straight.Chance(rest, left) < usual {
			// What is left is too large itself: it is the measure then.
			p = max(p, distuv.F{D1: 1, D2: float64(left)}.Survival(fall/(rest/float64(left))))
		}
		if l.birge() > 1 && 1-straight.Chance(looseRest, left) > usual {
			return false // if all scatter alike, the rest does so too
		}
		return tries*p < surprising
	}
	least := l.chi2
	for i := range l.points {
		if rest := l.without(i); rest < least {
			least, odd = rest, i
		}
	}
	square, straight := l.bend()
	_, looseStraight := loose.bend()
	switch {
	case straight <= least && explains(straight, looseStraight, 1):
		return -1, int(math.Copysign(1, square))
	case least < straight && explains(least, loose.without(odd), float64(len(l.points))):
		return odd, 0
	}
	return -1, 0
}
