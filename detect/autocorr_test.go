package detect

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"github.com/mjibson/go-dsp/fft"
)

// slowCorrelation is the definition, lag by lag: the products' sum over the mean
// energy of the two stretches compared.
func slowCorrelation(x []float64) []float64 {
	mean := 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	y := make([]float64, len(x))
	whole := 0.0
	for i, v := range x {
		y[i] = v - mean
		whole += y[i] * y[i]
	}
	r := make([]float64, len(x))
	for lag := range r {
		sum, energy := 0.0, 0.0
		for i := range len(y) - lag {
			sum += y[i] * y[i+lag]
			energy += (y[i]*y[i] + y[i+lag]*y[i+lag]) / 2
		}
		if energy > whole*1e-6 {
			r[lag] = sum / energy
		}
	}
	return r
}

// autocorrInputs are kinds of sound that the correlation must get right.
func autocorrInputs(n int) map[string][]float64 {
	const rate = 8000.0
	ramp := make([]float64, n)
	for i := range ramp {
		ramp[i] = float64(i)
	}
	impulse := make([]float64, n)
	impulse[n/3] = 1
	return map[string][]float64{
		"tone":               damped(n, rate, 137, 2, 0.5, 1),
		"tone on a constant": plus(damped(n, rate, 137, 0, 0.01, 1), repeat(0.7, n)),
		"noise":              whiteNoise(n, 1, 5),
		"ramp":               ramp,
		"impulse":            impulse,
		"tiny":               damped(n, rate, 200, 1, 1e-9, 0),
	}
}

func repeat(v float64, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = v
	}
	return x
}

func TestCorrelate(t *testing.T) {
	for _, n := range []int{2, 3, 100, 750, 1024} {
		a := newAutocorrelator(n)
		for name, x := range autocorrInputs(n) {
			want := slowCorrelation(x)
			got := a.correlate(x)
			if len(got) != n {
				t.Fatalf("%d lags, want %d", len(got), n)
			}
			for lag := range got {
				// Where little of the energy is left to compare with, rounding weighs more.
				if math.Abs(got[lag]-want[lag]) > 1e-9 {
					t.Errorf("%s of %d, lag %d: %.12f, by definition %.12f", name, n, lag, got[lag], want[lag])
					break
				}
			}
		}
	}
}

// TestCorrelateByOtherTransform repeats the Wiener–Khinchin route on go-dsp's FFT:
// the two libraries agree on the raw correlation.
func TestCorrelateByOtherTransform(t *testing.T) {
	const n = 3000
	x := damped(n, 22050, 97.3, 3, 0.3, 0.2)
	mean := 0.0
	for _, v := range x {
		mean += v / n
	}
	padded := make([]float64, 8192)
	for i, v := range x {
		padded[i] = v - mean
	}
	coef := fft.FFTReal(padded)
	for i, c := range coef {
		coef[i] = c * cmplx.Conj(c)
	}
	raw := fft.IFFT(coef)
	got := newAutocorrelator(n).correlate(x)
	for lag := range n {
		energy := 0.0
		for i := range n - lag {
			energy += (padded[i]*padded[i] + padded[i+lag]*padded[i+lag]) / 2
		}
		if energy > 1e-3*real(raw[0]) && math.Abs(got[lag]-real(raw[lag])/energy) > 1e-11 {
			t.Fatalf("lag %d: %.13f, by go-dsp %.13f", lag, got[lag], real(raw[lag])/energy)
		}
	}
}

func TestCorrelateOfNothing(t *testing.T) {
	for _, v := range []float64{0, 0.5, -1} { // means of these are exact
		for lag, r := range newAutocorrelator(64).correlate(repeat(v, 64)) {
			if r != 0 {
				t.Fatalf("constant %g, lag %d: %g, want 0", v, lag, r)
			}
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("a window of the wrong length is taken")
		}
	}()
	newAutocorrelator(64).correlate(make([]float64, 63))
}

func TestCorrelateAllocatesNothing(t *testing.T) {
	a := newAutocorrelator(3528)
	x := whiteNoise(3528, 1, 1)
	if n := testing.AllocsPerRun(5, func() { a.correlate(x) }); n != 0 {
		t.Errorf("%g allocations a call", n)
	}
}

// TestPeriods: a series of exact harmonics has its period's highest peak, and the
// stiff string's is read sharp by about (B/2) ΣA²k⁴/ΣA²k².
func TestPeriods(t *testing.T) {
	const rate, n, partials = 22050.0, 15435, 10
	for _, f0 := range []float64{27.5, 41.2, 110, 196, 659.3} {
		for _, b := range []float64{0, 1e-4} {
			x := make([]float64, n)
			var s2, s4 float64
			for k := 1.0; k <= partials; k++ {
				x = plus(x, damped(n, rate, law{f0, b}.hz(int(k)), 0, 0.1/k, 0))
				s2++ // A²k² with A = 1/k
				s4 += k * k
			}
			found := periods(newAutocorrelator(n).correlate(x), rate, 0.3, 6)
			i := slices.IndexFunc(found, func(hz float64) bool { return math.Abs(cents(hz, f0)) < 50 })
			// Heights are read at whole lags: on a high string, whose period is a few
			// lags, one of its multiples may fall better and come first.
			if i < 0 || i > 0 && f0 < 400 {
				t.Errorf("%g Hz, B %g: periods %.4g", f0, b, found)
				continue
			}
			want := 1200 / math.Ln2 * b / 2 * s4 / s2
			// A parabola finds the top to some hundredths of a lag; the formula is of
			// first order in B.
			tol := 1731*0.03*f0/rate + 0.1*want
			near(t, fmt.Sprintf("%g Hz, B %g: cents sharp", f0, b), cents(found[i], f0), want, tol)
		}
	}
}

func TestPeriodsLimits(t *testing.T) {
	const rate, n = 22050.0, 8000
	for _, hz := range []float64{5, 15} { // below the lowest string
		for _, p := range periods(newAutocorrelator(n).correlate(damped(n, rate, hz, 0, 1, 0)), rate, 0.3, 6) {
			if p < lowestF0*0.98 {
				t.Errorf("%g Hz gives a period of %g Hz", hz, p)
			}
		}
	}
	tone := newAutocorrelator(n).correlate(damped(n, rate, 500, 0, 1, 0))
	if got := periods(tone, rate, 0.3, 3); len(got) != 3 {
		t.Errorf("%d periods, want the 3 best", len(got))
	}
	if got := periods(tone, rate, 1.5, 3); len(got) != 0 {
		t.Errorf("periods %v above a correlation of 1.5", got)
	}
	if got := periods(nil, rate, 0.3, 3); len(got) != 0 {
		t.Errorf("periods %v of nothing", got)
	}
}
