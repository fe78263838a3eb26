package physics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"pluckweigh/physics/straight"
)

// A point has standard uncertainties in both coordinates, independent of each
// other and of those of other points. At least one of the two is above zero.
type point struct{ x, y, ux, uy float64 }

// A line is the straight line y = intercept + slope·x that is likeliest for a set
// of points with errors in both coordinates.
type line struct {
	slope, intercept          float64
	varSlope, varIntercept    float64
	covariance                float64 // of slope and intercept
	chi2                      float64 // squared distances of the points, in their uncertainties
	points                    []point
	weights                   []float64 // of the points: one over the variance of y − intercept − slope·x
	meanX, spreadX, sumWeight float64   // of the points' adjusted x: weighted mean, sum of squares about it; sum of the weights
}

// fitLine fits two points or more. ok is false where the points have no line, as where
// all have one x.
func fitLine(points []point) (l line, ok bool) {
	given := make([]straight.Point, len(points))
	for i, p := range points {
		given[i] = straight.Point{X: []float64{p.x}, UX: []float64{p.ux}, Y: p.y, UY: p.uy}
	}
	f, ok := straight.Through(given)
	if !ok {
		return line{}, false
	}
	l = line{slope: f.Slopes[0], intercept: f.Intercepts[0], chi2: f.Chi2, points: points, weights: f.Weights}
	xs := make([]float64, len(points))
	for i, at := range f.Adjusted {
		xs[i] = at[0]
		l.sumWeight += f.Weights[i]
	}
	l.meanX = stat.Mean(xs, f.Weights)
	for i, x := range xs {
		l.spreadX += f.Weights[i] * (x - l.meanX) * (x - l.meanX)
	}
	l.varSlope = 1 / l.spreadX
	l.varIntercept = 1/l.sumWeight + l.meanX*l.meanX*l.varSlope
	l.covariance = -l.meanX * l.varSlope
	return l, l.varSlope > 0 && !math.IsInf(l.varIntercept, 0)
}

// residual is how far point i lies above the line.
func (l line) residual(i int) float64 {
	p := l.points[i]
	return p.y - l.intercept - l.slope*p.x
}

// at is the line's y at x, and its variance.
func (l line) at(x float64) (y, variance float64) {
	return l.intercept + l.slope*x, 1/l.sumWeight + (x-l.meanX)*(x-l.meanX)*l.varSlope
}

// free is the number of degrees of freedom.
func (l line) free() int { return len(l.points) - 2 }

// chance is the probability that points on a line scatter as much as these or
// more.
func (l line) chance() float64 { return straight.Chance(l.chi2, l.free()) }

// birge is the factor by which the points scatter more than their uncertainties
// say, at least 1 (Birge, Physical Review 40 (1932) 207): 1 as long as chance
// would do it in more than one set in twenty.
func (l line) birge() float64 {
	const surprising = 0.05
	if l.chance() > surprising {
		return 1
	}
	return max(1, math.Sqrt(l.chi2/float64(l.free())))
}

// without is chi-square of the line through all points but i; that of all where
// these have none.
func (l line) without(i int) float64 {
	if m, ok := fitLine(slices.Concat(l.points[:i], l.points[i+1:])); ok {
		return m.chi2
	}
	return l.chi2
}

// bend is what a term in x² comes to, above zero where the points curve upward, and
// chi-square once it is added, as far as the weights stay what they are.
func (l line) bend() (square, chi2 float64) {
	if l.free() < 1 {
		return 0, l.chi2
	}
	var xs, squares []float64
	for _, p := range l.points {
		x := (p.x - l.meanX) * math.Sqrt(l.varSlope)
		xs, squares = append(xs, x), append(squares, x*x)
	}
	// Only what of x² is no straight line itself.
	a, b := stat.LinearRegression(xs, squares, l.weights, false)
	var product, norm float64
	for i, w := range l.weights {
		q := squares[i] - a - b*xs[i]
		product += w * q * l.residual(i)
		norm += w * q * q
	}
	if !(norm > 0) {
		return 0, l.chi2
	}
	return product / norm * l.varSlope, max(0, l.chi2-product*product/norm)
}

// steepening is how far the slope at the end that is farther from the middle differs
// from the line's where the points follow a parabola.
func (l line) steepening() float64 {
	square, _ := l.bend()
	far := 0.0
	for _, p := range l.points {
		far = max(far, math.Abs(p.x-l.meanX))
	}
	return math.Abs(2 * square * far)
}
