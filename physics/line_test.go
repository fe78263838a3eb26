package physics

import (
	"math"
	"testing"
)

// pearson are the points of Pearson (1901) with the weights that York (1966) gave
// them, one over the variances of x and y.
func pearson() []point {
	var out []point
	for _, p := range [][4]float64{
		{0, 1000, 5.9, 1}, {0.9, 1000, 5.4, 1.8}, {1.8, 500, 4.4, 4}, {2.6, 800, 4.6, 8}, {3.3, 200, 3.5, 20},
		{4.4, 80, 3.7, 20}, {5.2, 60, 2.8, 70}, {6.1, 20, 2.8, 70}, {6.5, 1.8, 2.4, 100}, {7.4, 1, 1.5, 500},
	} {
		out = append(out, point{p[0], p[2], 1 / math.Sqrt(p[1]), 1 / math.Sqrt(p[3])})
	}
	return out
}

// The published line through Pearson's points with York's weights: York, Evensen,
// Martínez and De Basabe Delgado, American Journal of Physics 72 (2004) 367.
func TestLineOfPearsonAndYork(t *testing.T) {
	l, ok := fitLine(pearson())
	if !ok {
		t.Fatal("no line")
	}
	for _, c := range []struct {
		what            string
		got, want, last float64
	}{
		{"slope", l.slope, -0.48053341, 1e-8},
		{"intercept", l.intercept, 5.47991022, 1e-8},
		{"standard error of the slope", math.Sqrt(l.varSlope), 0.05798501, 1e-8},
		{"standard error of the intercept", math.Sqrt(l.varIntercept), 0.29497074, 1e-8},
		{"chi-square", l.chi2, 11.8663532, 1e-7},
	} {
		if math.Abs(c.got-c.want) > c.last/2*1.01 {
			t.Errorf("%s: %.9f, published %.9f", c.what, c.got, c.want)
		}
	}
}

// The line is the same whichever of the two coordinates is called x.
func TestLineTurnedOver(t *testing.T) {
	var turned []point
	for _, p := range pearson() {
		turned = append(turned, point{p.y, p.x, p.uy, p.ux})
	}
	l, _ := fitLine(pearson())
	m, ok := fitLine(turned)
	if !ok || math.Abs(m.slope*l.slope-1) > 1e-9 || math.Abs(m.intercept*l.slope/-l.intercept-1) > 1e-9 ||
		math.Abs(m.chi2/l.chi2-1) > 1e-9 {
		t.Errorf("%+v\n%+v", l, m)
	}
}

// Without errors in x it is the weighted least squares of every textbook: y = 1, 3,
// 4 at x = 0, 1, 2 with u = 1, by hand.
func TestLineOfThree(t *testing.T) {
	l, ok := fitLine([]point{{0, 1, 0, 1}, {1, 3, 0, 1}, {2, 4, 0, 1}})
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	if !ok {
		t.Fatal("no line")
	}
	near("slope", l.slope, 1.5)
	near("intercept", l.intercept, 7.0/6)
	near("variance of the slope", l.varSlope, 0.5)
	near("variance of the intercept", l.varIntercept, 5.0/6)
	near("covariance", l.covariance, -0.5)
	near("chi-square", l.chi2, 1.0/6)
	y, v := l.at(1)
	near("y in the middle", y, 8.0/3)
	near("its variance", v, 1.0/3)
	// With three points a parabola goes through all, and two always have a line.
	square, left := l.bend()
	near("square", square, -0.5)
	near("chi-square of the parabola", left, 0)
	near("steepening", l.steepening(), 1)
	near("chi-square without the middle", l.without(1), 0)
	near("factor", l.birge(), 1)
}

// A parabola is fitted as by trying them all.
func TestLineBend(t *testing.T) {
	var points []point
	for i := range 8 {
		x := float64(i)
		points = append(points, point{x, 2 + 3*x + 0.2*x*x + 0.3*math.Sin(5*x), 0, 0.5 + 0.05*x})
	}
	l, _ := fitLine(points)
	best, at := math.Inf(1), 0.0
	for c := 0.0; c < 0.5; c += 1e-5 {
		var straight []point
		for _, p := range points {
			straight = append(straight, point{p.x, p.y - c*p.x*p.x, 0, p.uy})
		}
		if m, _ := fitLine(straight); m.chi2 < best {
			best, at = m.chi2, c
		}
	}
	if square, chi2 := l.bend(); math.Abs(chi2/best-1) > 1e-4 || math.Abs(square-at) > 2e-5 {
		t.Errorf("a parabola of %v leaves %v, not %v of %v", square, chi2, at, best)
	}
}

func TestNoLine(t *testing.T) {
	for _, points := range [][]point{
		{{1, 1, 0.1, 0.1}, {1, 2, 0.1, 0.1}},
		{{1, 1, 0, 0.1}, {1, 2, 0, 0.1}, {1, 3, 0, 0.1}},
		{{1, math.NaN(), 0, 0.1}, {2, 2, 0, 0.1}},
		{{1, 1, 0, 0.1}},
	} {
		if l, ok := fitLine(points); ok {
			t.Errorf("%v have a line: %+v", points, l)
		}
	}
}
