package detect

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// autocorrelator finds periods by the normalised autocorrelation, computed
// through the power spectrum (Wiener–Khinchin). It may be reused; it allocates
// nothing after the first call. Its periods are candidates only: on a stiff
// string they are sharp by about (B/2) ΣA²k⁴/ΣA²k².
type autocorrelator struct {
	n    int
	plan *fourier.FFT
	buf  []float64
	coef []complex128
}

// newAutocorrelator serves windows of n samples.
func newAutocorrelator(n int) *autocorrelator {
	size := 1
	for size < 2*n {
		size *= 2
	}
	return &autocorrelator{n: n, plan: fourier.NewFFT(size), buf: make([]float64, size),
		coef: make([]complex128, size/2+1)}
}

// correlate returns the autocorrelation of x, r[0] = 1, each lag normalised by
// the energy of the two stretches it compares. The slice is valid until the
// next call. len(x) must be n, or it panics.
func (a *autocorrelator) correlate(x []float64) []float64 {
	if len(x) != a.n {
		panic("detect: autocorrelation of a window of the wrong length")
	}
	mean := 0.0
	for _, v := range x {
		mean += v
	}
	mean /= float64(a.n)
	clear(a.buf)
	energy := 0.0
	for i, v := range x {
		a.buf[i] = v - mean
		energy += a.buf[i] * a.buf[i]
	}
	if energy == 0 {
		return a.buf[:a.n]
	}
	a.plan.Coefficients(a.coef, a.buf)
	for i, c := range a.coef {
		a.coef[i] = complex(real(c)*real(c)+imag(c)*imag(c), 0)
	}
	a.plan.Sequence(a.buf, a.coef)
	scale := 1 / float64(len(a.buf))
	head, tail := energy, energy
	for lag := range a.n {
		if lag > 0 {
			u, v := x[a.n-lag]-mean, x[lag-1]-mean
			head -= u * u
			tail -= v * v
		}
		m := (head + tail) / 2
		if m <= energy*1e-6 {
			a.buf[lag] = 0
			continue
		}
		a.buf[lag] *= scale / m
	}
	return a.buf[:a.n]
}

// periods lists up to count fundamentals, in hertz, at which the correlation r
// peaks above least, best first.
func periods(r []float64, rate, least float64, count int) []float64 {
	type lagPeak struct{ hz, height float64 }
	var found []lagPeak
	lo, hi := int(rate/highestF0), min(int(rate/lowestF0)+1, len(r)*2/3)
	for i := max(lo, 1); i+1 < hi; i++ {
		if r[i] > least && r[i] > r[i-1] && r[i] >= r[i+1] {
			d := vertex(r[i-1], r[i], r[i+1])
			found = append(found, lagPeak{rate / (float64(i) + d), r[i]})
		}
	}
	// A period's multiples peak as high: each doubling has to earn its place.
	worth := func(p lagPeak) float64 { return p.height + 0.01*math.Log2(p.hz) }
	slices.SortFunc(found, func(a, b lagPeak) int { return cmp.Compare(worth(b), worth(a)) })
	var out []float64
	for _, f := range found[:min(len(found), count)] {
		out = append(out, f.hz)
	}
	return out
}
