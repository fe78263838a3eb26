package detect

import "math/cmplx"

// The discrete Fourier transform of a damped sinusoid is a geometric sum, so
// model spectra and their derivatives need no synthesis. With z = exp(s) the
// factor from one sample to the next (s = -α/fs + 2πi f/fs), wₖ = exp(-2πik/N)
// and q = z·wₖ, the sums over t = 0 … N-1 are
//
//	G(q) = Σ qᵗ   = (1 - zᴺ) / (1 - q)
//	D(q) = Σ t qᵗ = q (1 - zᴺ) / (1 - q)² - N zᴺ / (1 - q)
//	E(q) = Σ t² qᵗ = (q (1 + q) (1 - zᴺ) / (1 - q)² - 2N q zᴺ / (1 - q) - N² zᴺ) / (1 - q)
//
// since qᴺ = zᴺ for every bin k.
type geometric struct {
	z, zN complex128 // factor per sample and over the window
	n     float64
}

// newGeometric prepares the sums for exponent s per sample over n samples.
func newGeometric(s complex128, n int) geometric {
	return geometric{cmplx.Exp(s), cmplx.Exp(s * complex(float64(n), 0)), float64(n)}
}

// sum is G at the bin with twiddle w.
func (g geometric) sum(w complex128) complex128 {
	d := 1 - g.z*w
	if tiny(d) {
		return complex(g.n, 0)
	}
	return (1 - g.zN) * inverse(d)
}

// sums is G and D at the bin with twiddle w.
func (g geometric) sums(w complex128) (G, D complex128) {
	q := g.z * w
	d := 1 - q
	if tiny(d) { // q = 1: G = N, D = N(N-1)/2
		return complex(g.n, 0), complex(g.n*(g.n-1)/2, 0)
	}
	e := inverse(d)
	G = (1 - g.zN) * e
	D = (q*G - complex(g.n, 0)*g.zN) * e
	return G, D
}

// moments is G, D and E at the bin with twiddle w.
func (g geometric) moments(w complex128) (G, D, E complex128) {
	q := g.z * w
	d := 1 - q
	n := complex(g.n, 0)
	if tiny(d) { // q = 1
		return n, n * (n - 1) / 2, n * (n - 1) * (2*n - 1) / 6
	}
	e := inverse(d)
	G = (1 - g.zN) * e
	D = (q*G - n*g.zN) * e
	E = ((1+q)*q*G*e - 2*n*q*g.zN*e - n*n*g.zN) * e
	return G, D, E
}

// upTo is G and D, and E only if it is wanted: it costs as much again.
func (g geometric) upTo(w complex128, second bool) (G, D, E complex128) {
	if second {
		return g.moments(w)
	}
	G, D = g.sums(w)
	return G, D, 0
}

// tiny guards the removable singularity of the sums. Rounding in 1-q is about
// 1e-16, so at this distance the closed form has lost its digits.
func tiny(d complex128) bool {
	return sq(d) < 1e-22
}

// inverse is 1/z without the scaling that complex division does against overflow,
// which these sums, bounded by tiny, do not need and which takes three times as long.
func inverse(z complex128) complex128 {
	s := 1 / sq(z)
	return complex(real(z)*s, -imag(z)*s)
}

func sq(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// sumSquares is the energy of x.
func sumSquares(x []complex128) float64 {
	sum := 0.0
	for _, v := range x {
		sum += sq(v)
	}
	return sum
}

func times1i(z complex128) complex128 { return complex(-imag(z), real(z)) }
