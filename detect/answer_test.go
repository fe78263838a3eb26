package detect

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// mixed is a mixture with a far, unlikely part.
var mixed = []answer{
	{lf: 1, b: 2, v00: 1, v01: 0.3, v11: 4, glide: 5, p: 0.6},
	{lf: 3, b: -1, v00: 0.25, v01: -0.1, v11: 1, p: 0.3},
	{lf: 9, b: 2, v00: 4, v11: 1, p: 0.02},
}

// TestAverage holds mean and covariance against draws from the mixture.
func TestAverage(t *testing.T) {
	m := average(mixed)
	total := 0.0
	for _, a := range mixed {
		total += a.p
	}
	r := rand.New(rand.NewPCG(1, 1))
	const draws = 200000
	var lf, b []float64
	for range draws {
		at := r.Float64() * total
		a := mixed[len(mixed)-1]
		for _, c := range mixed {
			if at < c.p {
				a = c
				break
			}
			at -= c.p
		}
		x, y := r.NormFloat64(), r.NormFloat64()
		rho := a.v01 / math.Sqrt(a.v00*a.v11)
		lf = append(lf, a.lf+math.Sqrt(a.v00)*x)
		b = append(b, a.b+math.Sqrt(a.v11)*(rho*x+math.Sqrt(1-rho*rho)*y))
	}
	near(t, "mean of ln f0", m.lf, stat.Mean(lf, nil), 0.02)
	near(t, "mean of B", m.b, stat.Mean(b, nil), 0.03)
	near(t, "variance of ln f0", m.v00, stat.Variance(lf, nil), 0.06)
	near(t, "variance of B", m.v11, stat.Variance(b, nil), 0.1)
	near(t, "covariance", m.v01, stat.Covariance(lf, b, nil), 0.06)
	near(t, "glide", m.glide, 5*0.6/total, 1e-12)

	// The interval about the mean holds what it should of the draws.
	u := standard(mixed, m.lf, func(a answer) (float64, float64) { return a.lf, a.v00 }, 10)
	in := 0.0
	for _, v := range lf {
		if math.Abs(v-m.lf) < u {
			in++
		}
	}
	near(t, "share within the interval", in/draws, coverage, 0.003)
}

// TestStandard: of one normal answer it is the standard deviation; another that is
// likely enough to be within what it covers is, a less likely one hardly.
func TestStandard(t *testing.T) {
	lf := func(a answer) (float64, float64) { return a.lf, a.v00 }
	one := answer{lf: 4, v00: 0.09, p: 0.97}
	near(t, "of one", standard([]answer{one}, 4, lf, 3), 0.3, 1e-3)
	for _, c := range []struct{ p, least, most float64 }{{0.5, 6, 8}, {0.06, 0.3, 0.36}, {0.003, 0.3, 0.31}} {
		u := standard([]answer{one, {lf: 11, v00: 0.09, p: c.p}}, 4, lf, 20)
		if u < c.least || u > c.most {
			t.Errorf("beside one of probability %g, 7 away: %g, want %g to %g", c.p, u, c.least, c.most)
		}
	}
}

// TestLost: a fit that was moved off what another found in the same bins has gone
// astray, until it has converged again.
func TestLost(t *testing.T) {
	f := pairFrame(10, coupling{}, 0.3, 3)
	f.converge(restIter)
	s := f.clone()
	if f.lost(s) {
		t.Error("the same fit is lost")
	}
	s.f0 *= 1 + 100*math.Sqrt(f.cov.At(0, 0))
	if !f.lost(s) {
		t.Error("moved by 100 of its uncertainties, a fit is not lost")
	}
	s.converge(restIter)
	if f.lost(s) {
		t.Error("converged again, the fit is lost")
	}
}
