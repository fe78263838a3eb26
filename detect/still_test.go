package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// slopeFit is a fit of known covariance and slope whose lines have nothing to say.
func slopeFit(slope float64, cov *mat.SymDense) *fit {
	return &fit{law: law{110, 1e-4}, gl: glide{g: 3 * cent, alpha: 1, slope: slope}, cov: cov, secs: 3}
}

// handMade is a covariance of (ln f0, B, g, ln α, slope) in which all hang together
// and the slope is known to u.
func handMade(u float64) *mat.SymDense {
	unit := [...]float64{0.2 * cent, 1e-6, 0.4 * cent, 0.1, u}
	n := len(unit)
	L := mat.NewTriDense(n, mat.Lower, []float64{
		1, 0, 0, 0, 0,
		-0.4, 1, 0, 0, 0,
		0.3, -0.2, 1, 0, 0,
		0.1, 0.2, -0.3, 1, 0,
		-0.7, 0.4, -0.5, 0.2, 0.6,
	})
	c := mat.NewSymDense(params, nil)
	for i := n; i < params; i++ {
		c.SetSym(i, i, none*none) // no coupling
	}
	for i := range n {
		for j := i; j < n; j++ {
			ri, rj := mat.Row(nil, i, L), mat.Row(nil, j, L)
			ni, nj := math.Sqrt(dot(ri, ri)), math.Sqrt(dot(rj, rj))
			c.SetSym(i, j, dot(ri, rj)/(ni*nj)*unit[i]*unit[j])
		}
	}
	return c
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// TestStill: the answer is what a mixture of "the pitch has a slope" and "it has
// none" gives, each weighted by its evidence. The mixture is drawn here: a string
// with a slope is the fit itself, one without is the fit given that the slope is 0.
func TestStill(t *testing.T) {
	const u = 0.02 * cent
	cov := handMade(u)
	for _, z := range []float64{0, 1, 3, 3.6, 4, 5} {
		slope := z * u
		// The Bayes factor for the slope, prior and posterior being normal: the
		// prior's density at none over the posterior's (Dickey 1971), and its rarity.
		odds := 0.05 * (u / sSpread) * math.Exp(z*z/2)
		p := odds / (1 + odds)

		r := rand.New(rand.NewPCG(31, uint64(z*10)))
		var L mat.Cholesky
		if !L.Factorize(cov) {
			t.Fatal("the covariance is none")
		}
		var lower mat.TriDense
		L.LTo(&lower)
		const draws = 40000
		xs := mat.NewDense(draws, 3, nil)
		for i := range draws {
			white := mat.NewVecDense(params, nil)
			for k := range params {
				white.SetVec(k, r.NormFloat64())
			}
			var d mat.VecDense
			d.MulVec(&lower, white)
			still := r.Float64() >= p
			for k := range 3 {
				v := d.AtVec(k)
				if still { // as if the slope had been measured to be 0
					v -= cov.At(k, 4) / cov.At(4, 4) * (d.AtVec(4) + slope)
				}
				xs.Set(i, k, v)
			}
		}
		f := slopeFit(slope, cov)
		move, v := f.still()
		way := p * slope * f.secs // whoever reads f0 does not know when it is meant
		v[0][0] -= way * way / 12
		var want mat.SymDense
		stat.CovarianceMatrix(&want, xs, nil)
		for i := range 3 {
			col := mat.Col(nil, i, xs)
			m, sd := stat.MeanStdDev(col, nil)
			name := fmt.Sprintf("z = %g, parameter %d", z, i)
			near(t, name+": move, in standard deviations", (move[i]-m)/sd, 0, 4/math.Sqrt(draws))
			for j := range 3 {
				scale := math.Sqrt(want.At(i, i) * want.At(j, j))
				near(t, fmt.Sprintf("%s: covariance with %d", name, j), (v[i][j]-want.At(i, j))/scale, 0, 6/math.Sqrt(draws))
			}
		}
	}
}

// TestStillLimits: where there is no slope, and none can be, nothing changes; one
// that is beyond doubt stays, and f0 is as uncertain as the way it went.
func TestStillLimits(t *testing.T) {
	free := mat.NewSymDense(params, nil) // what a fit without a slope has
	full := handMade(1e-12)
	for i := range params {
		for j := i; j < params; j++ {
			switch {
			case i < 4 && j < 4:
				free.SetSym(i, j, full.At(i, j))
			case i == 4:
				free.SetSym(4, 4, 1e-24)
			}
		}
	}
	move, v := slopeFit(0, free).still()
	for i := range 3 {
		near(t, "move", move[i], 0, 0)
		for j := range 3 {
			near(t, "covariance", v[i][j], free.At(i, j), 0)
		}
	}

	const slope, u = 8 * cent, 0.01 * cent
	cov := handMade(u)
	f := slopeFit(slope, cov)
	move, v = f.still()
	way := slope * f.secs
	for i := range 3 {
		near(t, "move beside a certain slope", move[i], 0, 1e-15)
		for j := range 3 {
			want := cov.At(i, j)
			if i == 0 && j == 0 {
				want += way * way / 12
			}
			near(t, "covariance beside a certain slope", v[i][j]/want, 1, 1e-9)
		}
	}
	// A string that dies is heard for two of its decay times at most.
	f.lines = []*line{{n: 1, hz: 110, alpha: 4, amp: 1, snr: 1e4, used: true}}
	_, v = f.still()
	near(t, "variance of a short string", v[0][0]-cov.At(0, 0), slope*0.5*slope*0.5/12, 1e-12)
}

// TestSlope: the slope is as uncertain as its fit says, and more where the partials,
// each by itself, do not agree on it.
func TestSlope(t *testing.T) {
	const u = 0.05 * cent
	f := slopeFit(5*cent, handMade(u))
	if s := f.slope(); s.V != 5*cent || math.Abs(s.U/u-1) > 1e-9 {
		t.Errorf("of no lines %v", s)
	}
	add := func(own, slope, with float64) {
		n := len(f.lines) + 1
		l := &line{n: n, hz: f.hz(n), alpha: 1, amp: 1, snr: 1e4, used: true}
		// What it senses is (hz, slope), correlated; its own answers are off by own
		// and slope.
		const uHz, uSlope = 0.01, 0.3 * cent
		a, b, c := 1/(uHz*uHz), with/(uHz*uSlope), 1/(uSlope*uSlope)
		l.info[0][0], l.info[0][3], l.info[3][0], l.info[3][3] = a, b, b, c
		l.grad[0], l.grad[3] = a*own+b*slope, b*own+c*slope
		f.lines = append(f.lines, l)
	}
	for range 4 {
		add(0.02, 0, 0)
	}
	near(t, "four that agree", f.slope().U/cent, math.Hypot(0.05, 0.3/2), 1e-9)
	f.lines = nil
	for range 4 { // off in frequency, which is not the slope's business
		add(0.05, 0, 0.8)
	}
	near(t, "four that agree, frequency eliminated", f.slope().U/cent, math.Hypot(0.05, 0.3/2/0.6), 1e-9)
	f.lines = nil
	var vs []float64
	for i := range 8 {
		s := 9 * cent * math.Cos(float64(i*i))
		add(0, s, 0)
		vs = append(vs, s)
	}
	_, sd := stat.MeanStdDev(vs, nil)
	near(t, "eight that do not, cents a second", f.slope().U/cent, sd/math.Sqrt(8)/cent, 0.02*sd/cent)
	f.lines = f.lines[:1]
	near(t, "one alone has nothing to scatter about", f.slope().U/u, 1, 1e-9)
}
