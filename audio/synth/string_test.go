package synth

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// ritz returns the lowest frequencies of the pinned stiff string from its
// energies alone: ∫T y′² + EI y″² against ∫µ y², in polynomials (1−x²)P_i(x)
// that vanish at the ends. The moment there vanishes by itself (natural
// condition). A clip adds its own mass where it sits.
func ritz(s String, size, count int) []float64 {
	nodes := size + 4
	x, w := make([]float64, nodes), make([]float64, nodes)
	quad.Legendre{}.FixedLocations(x, w, -1, 1)
	stiff, mass := mat.NewSymDense(size, nil), mat.NewSymDense(size, nil)
	half := s.Length / 2
	for k := range x {
		y, dy, ddy := basis(x[k], size)
		for i := range size {
			for j := i; j < size; j++ {
				e := s.Tension/half*dy[i]*dy[j] + s.Stiffness/(half*half*half)*ddy[i]*ddy[j]
				stiff.SetSym(i, j, stiff.At(i, j)+w[k]*e)
				mass.SetSym(i, j, mass.At(i, j)+w[k]*s.UnitWeight*half*y[i]*y[j])
			}
		}
	}
	y, _, _ := basis(2*s.Clip.At-1, size)
	for i := range size {
		for j := i; j < size; j++ {
			mass.SetSym(i, j, mass.At(i, j)+s.Clip.Mass*y[i]*y[j])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(mass) {
		panic("mass matrix is not positive definite")
	}
	var l mat.TriDense
	chol.LTo(&l)
	var left, both mat.Dense
	if err := left.Solve(&l, stiff); err != nil {
		panic(err)
	}
	if err := both.Solve(&l, left.T()); err != nil {
		panic(err)
	}
	sym := mat.NewSymDense(size, nil)
	for i := range size {
		for j := i; j < size; j++ {
			sym.SetSym(i, j, (both.At(i, j)+both.At(j, i))/2)
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(sym, false) {
		panic("no eigenvalues")
	}
	f := eig.Values(nil)[:count]
	for i, v := range f {
		f[i] = math.Sqrt(v) / (2 * math.Pi)
	}
	return f
}

// basis returns (1−x²)P_i(x) and its first two derivatives.
func basis(x float64, size int) (y, dy, ddy []float64) {
	p, dp, ddp := make([]float64, size), make([]float64, size), make([]float64, size)
	p[0], p[1], dp[1] = 1, x, 1
	for i := 1; i+1 < size; i++ {
		k := float64(i)
		p[i+1] = ((2*k+1)*x*p[i] - k*p[i-1]) / (k + 1)
		dp[i+1] = dp[i-1] + (2*k+1)*p[i]
		ddp[i+1] = ddp[i-1] + (2*k+1)*dp[i]
	}
	for i := range size {
		scale := math.Sqrt(float64(2*i + 1))
		y = append(y, scale*(1-x*x)*p[i])
		dy = append(dy, scale*(-2*x*p[i]+(1-x*x)*dp[i]))
		ddy = append(ddy, scale*(-2*p[i]-4*x*dp[i]+(1-x*x)*ddp[i]))
	}
	return y, dy, ddy
}

func TestPartialsAgainstEigenproblem(t *testing.T) {
	for _, b := range []float64{0, 1e-5, 1e-4, 1e-3, 1e-2} {
		s := FromPitch(82.4, b)
		for i, f := range ritz(s, 60, 15) {
			if d := cents(s.Partial(i+1), f); math.Abs(d) > 1e-5 {
				t.Errorf("B %g, partial %d: %g Hz by the law, %g Hz by the eigenproblem", b, i+1, s.Partial(i+1), f)
			}
		}
	}
}

func TestStringFromPublishedFigures(t *testing.T) {
	// OpenStax, University Physics 1, example 16.6: 2.00 m, 0.006 kg/m, 2.00 kg at
	// 9.8 m/s²: 14.29, 28.58, 42.87 Hz.
	s := String{Length: 2, Tension: 2 * 9.8, UnitWeight: 0.006}
	for i, want := range []float64{14.29, 28.58, 42.87} {
		if got := s.Partial(i + 1); math.Abs(got-want) > 0.01 {
			t.Errorf("partial %d: %g Hz, printed %g", i+1, got, want)
		}
	}
	// B = π³Ed⁴/(64TL²) for a round core (Fletcher and Rossing).
	const e, d = 206e9, 0.5e-3
	s = String{Length: 0.65, Tension: 80, UnitWeight: 1e-3, Stiffness: e * math.Pi * d * d * d * d / 64}
	if want := math.Pow(math.Pi, 3) * e * d * d * d * d / (64 * 80 * 0.65 * 0.65); math.Abs(s.B()/want-1) > 1e-12 {
		t.Errorf("B is %g, want %g", s.B(), want)
	}
}

func TestFromPitch(t *testing.T) {
	for _, f0 := range []float64{20, 41.2, 110, 329.6, 1500} {
		for _, b := range []float64{0, 1e-5, 1e-3} {
			s := FromPitch(f0, b)
			if math.Abs(s.F0()/f0-1) > 1e-14 || math.Abs(s.B()-b) > 1e-14*b {
				t.Errorf("asked for %g Hz and %g, got %g and %g", f0, b, s.F0(), s.B())
			}
		}
	}
}
