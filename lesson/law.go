package lesson

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/physics/straight"
)

// A law is a straight line in the coordinates that it is fitted in.
type law struct {
	axes Axes
	// x and y place a point where it is drawn; given makes the x of what was told once for
	// all, where it takes that.
	x     []func(Point) Value
	given func(Givens) (func(Point) Value, error)
	y     func(Point) Value
	// Where they are set, fitX and fitY make of what is drawn what is fitted, and back.
	fitX, fitY scale
	// off makes of a residual in fitted y one in the unit of Axes.Off, y being drawn there.
	off func(residual, y float64) float64
	// find lists the findings, the deciding one first.
	find func(r *regression, g Givens) []finding
	// shared is what all points may be off by alike.
	shared func(points []Point, g Givens) []shift
	// sharp is the half-width of 95 % up to which the deciding finding tells the law from
	// others.
	sharp float64
	// rough tells that what is heard comes without an uncertainty of its own, but for which
	// of the points are known better.
	rough bool
	// curves tells that the data lie on no such line where they bend.
	curves bool
	text   words
	// look says what to look for where the findings tell why the law does not hold; empty
	// for nothing. It may be nil.
	look func([]Finding) string
}

// words are what a verdict is made of.
type words struct {
	law     string // "f0 goes with 1/L"
	against string // what it means if it does not hold, and what to look for
	x       string // what is to be varied, "length"
}

// A scale is how a coordinate is fitted.
type scale struct {
	to, from func(float64) float64
	// slope is the derivative of to.
	slope func(float64) float64
}

var (
	plainScale = scale{func(v float64) float64 { return v }, func(v float64) float64 { return v }, func(float64) float64 { return 1 }}
	logScale   = scale{math.Log, math.Exp, func(v float64) float64 { return 1 / v }}
	// semitones of a frequency.
	semitones = scale{func(v float64) float64 { return 12 * math.Log2(v) }, func(v float64) float64 { return math.Exp2(v / 12) }, func(v float64) float64 { return 12 / math.Ln2 / v }}
	cents     = scale{func(v float64) float64 { return 1200 * math.Log2(v) }, func(v float64) float64 { return math.Exp2(v / 1200) }, func(v float64) float64 { return 1200 / math.Ln2 / v }}
)

func (s scale) of(v Value) Value { return Value{V: s.to(v.V), U: math.Abs(s.slope(v.V)) * v.U} }

// A finding is a constant that a fit tells, before its uncertainty is whole.
type finding struct {
	Finding
	// of works it out of a fit; u is its standard uncertainty by the points' own.
	of func(r *regression) (v, u float64, ok bool)
	// extra is a relative standard uncertainty beside that of the points.
	extra float64
}

// A shift is by what all points may be off together: move is by one standard uncertainty.
type shift struct {
	name string
	move func(Point) Point
}

// A regression is a fit to the points that count.
type regression struct {
	law    *law
	points []Point
	part   []int // of the points, from 0
	parts  int
	fit    straight.Fit
	// s is by how much more than their uncertainties say the points are off, and free the
	// degrees of freedom that this is known by.
	s, free float64
	bare    bool // nobody said what they may be off by
	closer  bool // they scatter far less than they are told to be off by
}

// regress fits points; ok is false where they have no line.
func (w *law) regress(points []Point) (r *regression, ok bool) {
	r = &regression{law: w, points: points}
	number := map[string]int{}
	in := make([]straight.Point, 0, len(points))
	columns := w.columns(points)
	for _, p := range points {
		g, known := number[p.Group]
		if !known {
			g = len(number)
			number[p.Group] = g
		}
		y := w.fitY.of(w.y(p))
		q := straight.Point{Y: y.V, UY: y.U, Part: g}
		for _, x := range w.x[:columns] {
			v := w.fitX.of(x(p))
			q.X, q.UX = append(q.X, v.V), append(q.UX, v.U)
		}
		r.part = append(r.part, g)
		in = append(in, q)
	}
	r.parts = len(number)
	r.bare = weightless(in)
	r.fit, ok = straight.Through(in)
	if !ok || r.fit.Free < 1 {
		return r, false
	}
	// Points that lie more closely than this on their line are copied and not measured.
	const closest = 0.002
	r.free = float64(r.fit.Free)
	r.s = max(closest, math.Sqrt(r.fit.Chi2/r.free))
	// What is told counts where it is more than chance leaves room for: all points may be
	// off by that alike, as by a balance, which does not scatter.
	if r.closer = r.told() && (distuv.ChiSquared{K: r.free}).CDF(r.fit.Chi2) < surprising; r.closer {
		r.s, r.free = 1, math.Inf(1)
	}
	return r, true
}

// surprising is a probability below which the points do not scatter as they are told to.
const surprising = 0.01

// told tells whether somebody said how well what was heard is known.
func (r *regression) told() bool {
	return !slices.ContainsFunc(r.points, func(p Point) bool { return p.Y.Assumed }) && !r.bare
}

// alike is the correlation of two columns of x beyond which nobody can tell which of the
// two it was.
const alike = 0.95

// columns is how many x there are that can be told apart.
func (w *law) columns(points []Point) int {
	if len(w.x) == 1 {
		return 1
	}
	var one, two []float64
	for _, p := range points {
		if len(p.X) < 2 {
			return 1
		}
		one, two = append(one, p.X[0].V), append(two, p.X[1].V)
	}
	if len(points) < 2 || math.Abs(stat.Correlation(one, two, nil)) > alike || stat.Variance(two, nil) == 0 {
		return 1
	}
	return 2
}

// weightless gives all points one uncertainty where some have none: the scatter tells how
// large it is.
func weightless(points []straight.Point) bool {
	for _, p := range points {
		total := p.UY
		for _, u := range p.UX {
			total += u
		}
		if total == 0 {
			for i := range points {
				points[i].UY = 1
				clear(points[i].UX)
			}
			return true
		}
	}
	return false
}

// slope is that of x k, with its standard uncertainty by the points' own.
func slope(k int) func(*regression) (v, u float64, ok bool) {
	return func(r *regression) (v, u float64, ok bool) {
		if k >= len(r.fit.Slopes) {
			return 0, 0, false
		}
		return r.fit.Slopes[k], r.fit.U(k), true
	}
}

// constant is exp of the level of the points where the slope is what the law says it is,
// with its standard uncertainty by the points' own; of one string alone.
func constant(expected float64) func(*regression) (v, u float64, ok bool) {
	return func(r *regression) (v, u float64, ok bool) {
		if r.parts != 1 {
			return 0, 0, false
		}
		var sum, level float64
		for _, p := range r.fit.Points {
			w := 1 / (p.UY*p.UY + expected*expected*p.UX[0]*p.UX[0])
			sum += w
			level += w * (p.Y - expected*p.X[0])
		}
		v = math.Exp(level / sum)
		return v, v / math.Sqrt(sum), true
	}
}
