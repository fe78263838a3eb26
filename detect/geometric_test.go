package detect

import (
	"math"
	"math/big"
	"math/cmplx"
	"testing"
)

// slowSums adds up G = Σ qᵗ and D = Σ t qᵗ term by term, each power from its own
// exponential, its phase kept to twice the usual precision.
func slowSums(s complex128, k, n int) (G, D complex128) {
	for t := range n {
		x := float64(t)
		phase := imag(s) * x
		lost := math.FMA(imag(s), x, -phase)
		turn := float64(k*t%n) / float64(n)
		q := cmplx.Rect(math.Exp(real(s)*x), phase) * complex(1, lost) * cmplx.Rect(1, -2*math.Pi*turn)
		G += q
		D += complex(x, 0) * q
	}
	return G, D
}

// sumErrors bounds the rounding of the closed forms, absolutely, d = |1-q| away
// from the singularity. z and zᴺ carry ε and ε(1+N|s|) in, 1-q so carries ε; each
// division by 1-q passes on what its numerator and it carry. The slow sums' own
// rounding, some ε a term, comes on top.
func sumErrors(s complex128, d, n float64) (g, dd float64) {
	const eps = 1.0 / (1 << 51) // some roundings of 2^-53
	zN := math.Exp(real(s) * n)
	g = eps*(1+n*cmplx.Abs(s)*zN)/d + eps*(1+zN)/d/d
	dd = (g+n*eps*(1+n*cmplx.Abs(s)*zN))/d + eps*(1+zN)*(1/d+n*zN)/d/d
	return g + eps*n, dd + eps*n*n
}

func checkSums(tb testing.TB, rate, hz, alpha float64, k, n int) {
	tb.Helper()
	m := mode{hz: hz, alpha: alpha}
	s := m.exponent(rate)
	w := twiddles(n)[k]
	g := newGeometric(s, n)
	d := cmplx.Abs(1 - g.z*w)
	if tiny(1 - g.z*w) {
		d = 1e-11
	}
	wantG, wantD := slowSums(s, k, n)
	tolG, tolD := sumErrors(s, d, float64(n))
	G, D := g.sums(w)
	if e := cmplx.Abs(G - wantG); !(e <= tolG) {
		tb.Errorf("G at %g Hz, decay %g, bin %d of %d: %v, want %v (off by %.1e, may %.1e)", hz, alpha, k, n, G, wantG, e, tolG)
	}
	if e := cmplx.Abs(D - wantD); !(e <= tolD) {
		tb.Errorf("D at %g Hz, decay %g, bin %d of %d: %v, want %v (off by %.1e, may %.1e)", hz, alpha, k, n, D, wantD, e, tolD)
	}
	if one := g.sum(w); one != G {
		tb.Errorf("sum says %v, sums %v", one, G)
	}
}

func TestGeometricSums(t *testing.T) {
	const rate = 24000
	for _, n := range []int{16, 600, 8640} {
		bin := rate / float64(n)
		for _, alpha := range []float64{0, 0.01, 1, 300} {
			for _, at := range []float64{1, 1.001, 1.5, 2.25, float64(n)/2 - 0.5} {
				for _, k := range []int{0, 1, 2, n / 4, n / 2} {
					checkSums(t, rate, at*bin, alpha, k, n)
				}
			}
		}
	}
}

// At q = 1 the closed forms are 0/0 and the sums N and N(N-1)/2.
func TestGeometricSingularity(t *testing.T) {
	for _, n := range []int{8, 1000, 48000} {
		for _, k := range []int{0, 1, n / 3} {
			w := twiddles(n)[k]
			g := geometric{z: cmplx.Conj(w), zN: 1, n: float64(n)}
			G, D := g.sums(w)
			if N := float64(n); G != complex(N, 0) || D != complex(N*(N-1)/2, 0) || g.sum(w) != G {
				t.Errorf("n = %d: G %v, D %v", n, G, D)
			}
		}
	}
}

// TestGeometricDerivative: dG/ds = D, by central differences of the slow sum.
func TestGeometricDerivative(t *testing.T) {
	const n, h = 500, 1e-5
	for _, s := range []complex128{complex(-1e-4, 0.3), complex(-0.01, 0.3001), complex(-1e-6, 1.2)} {
		for _, k := range []int{0, 23, 24, 95, 250} {
			up, _ := slowSums(s+h, k, n)
			down, _ := slowSums(s-h, k, n)
			want := (up - down) / (2 * h)
			_, D := newGeometric(s, n).sums(twiddles(n)[k])
			// Third derivatives are up to n³ times the sum: (nh)²/6 relative.
			if e := cmplx.Abs(D - want); e > 2e-5*n*n {
				t.Errorf("s = %v, bin %d: D %v, want %v", s, k, D, want)
			}
		}
	}
}

// TestGeometricNearSingularity measures what is left of the digits where a line
// hardly decays and stands on a bin, against sums in 200-bit arithmetic. With a
// the decay a sample, 1-q ≈ a carries ε/a, so that G ≈ N loses as much; D ≈ N²/2
// is the difference of two terms near N, over a, and loses 2ε/(a²N). The fit
// lets no line decay by less than 0.001/s, which is the first row.
func TestGeometricNearSingularity(t *testing.T) {
	const n, eps = 1 << 16, 1.0 / (1 << 52)
	for _, alpha := range []float64{0.001, 0.01, 1} {
		a := alpha / 22050
		// On bin 0 everything is real.
		wantG, wantD := bigSums(a, n)
		G, D := newGeometric(complex(-a, 0), n).sums(1)
		eG, eD := math.Abs(real(G)/wantG-1), math.Abs(real(D)/wantD-1)
		t.Logf("decay %g/s: G off by %.1e, D by %.1e", alpha, eG, eD)
		if tolG, tolD := eps/a, 2*eps/(a*a*n)+eps/a; eG > tolG || eD > tolD {
			t.Errorf("decay %g/s: G off by %.1e, D by %.1e, want %.0e and %.0e", alpha, eG, eD, tolG, tolD)
		}
	}
}

// bigSums is Σ e^(-at) and Σ t e^(-at) over n terms, by repeated multiplication.
func bigSums(a float64, n int) (G, D float64) {
	const prec = 200
	num := func(v float64) *big.Float { return new(big.Float).SetPrec(prec).SetFloat64(v) }
	// z = e^-a by its series.
	z, term := num(1), num(1)
	for k := 1; k < 20; k++ {
		term.Mul(term, num(-a)).Quo(term, num(float64(k)))
		z.Add(z, term)
	}
	q, g, d := num(1), num(0), num(0)
	for t := range n {
		g.Add(g, q)
		d.Add(d, new(big.Float).SetPrec(prec).Mul(q, num(float64(t))))
		q.Mul(q, z)
	}
	G, _ = g.Float64()
	D, _ = d.Float64()
	return G, D
}

func FuzzGeometric(f *testing.F) {
	f.Add(440.0, 1.5, uint16(60), uint16(3000))
	f.Add(0.0, 0.0, uint16(0), uint16(2))
	f.Add(8.0, 0.001, uint16(1), uint16(2999))
	f.Add(11999.0, 300.0, uint16(1200), uint16(2400))
	f.Fuzz(func(t *testing.T, hz, alpha float64, k, n uint16) {
		const rate = 24000
		if !(hz >= 0 && hz <= rate/2 && alpha >= 0 && alpha <= 300) {
			return
		}
		size := 2 + int(n)%4000
		checkSums(t, rate, hz, alpha, int(k)%(size/2+1), size)
	})
}

// TestGeometricSecondMoment: dD/ds = E, by central differences of the slow sum.
func TestGeometricSecondMoment(t *testing.T) {
	const n, h = 500, 1e-5
	for _, s := range []complex128{complex(-1e-4, 0.3), complex(-0.01, 0.3001), complex(-1e-4, 1.2)} {
		for _, k := range []int{0, 23, 24, 95, 250} {
			_, up := slowSums(s+h, k, n)
			_, down := slowSums(s-h, k, n)
			want := (up - down) / (2 * h)
			G, D, E := newGeometric(s, n).moments(twiddles(n)[k])
			if e := cmplx.Abs(E - want); e > 2e-5*n*n*n {
				t.Errorf("s = %v, bin %d: E %v, want %v", s, k, E, want)
			}
			if g, d := newGeometric(s, n).sums(twiddles(n)[k]); g != G || d != D {
				t.Errorf("s = %v, bin %d: moments and sums differ", s, k)
			}
		}
	}
}
