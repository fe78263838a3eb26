package detect

import (
	"math"
	"testing"
)

// TestLagsCorrelate: the definition, lag by lag, with and without a background
// taken off.
func TestLagsCorrelate(t *testing.T) {
	const rate, n, count = 8000.0, 700, 300
	l := newLags(rate)
	hush := make([]float64, len(l.r))
	for i := range hush {
		hush[i] = 1e-3 * math.Cos(2*math.Pi*50/rate*float64(i))
	}
	for name, x := range autocorrInputs(n) {
		for _, h := range [][]float64{make([]float64, len(hush)), hush} {
			got := l.correlate(x, h, count)
			whole := 0.0
			for _, v := range x {
				whole += v * v
			}
			for lag := range got {
				sum, energy := 0.0, 0.0
				for i := range n - lag {
					sum += x[i] * x[i+lag]
					energy += (x[i]*x[i] + x[i+lag]*x[i+lag]) / 2
				}
				if quiet := h[0] * float64(n-lag); quiet < 0.9*energy {
					energy -= quiet
					sum -= h[lag] * float64(n-lag)
				}
				want := 0.0
				if energy > whole*1e-6 {
					want = sum / energy
				}
				if math.Abs(got[lag]-want) > 1e-9 {
					t.Errorf("%s, lag %d: %.12f, by definition %.12f", name, lag, got[lag], want)
					break
				}
			}
		}
	}
}

// TestLagsBetween: half a lag on, a correlation up to 0.35 of the rate, which is
// all the thinners leave, is found to a thousandth.
func TestLagsBetween(t *testing.T) {
	l := newLags(8000)
	for _, f := range []float64{0.01, 0.1, 0.25, 0.35} {
		r := make([]float64, 200)
		for i := range r {
			r[i] = math.Cos(2 * math.Pi * f * float64(i))
		}
		for i, v := range l.between(r, len(r)-interpolated) {
			if want := math.Cos(math.Pi * f * float64(i)); math.Abs(v-want) > 1e-3 {
				t.Fatalf("%g of the rate, lag %g: %g, want %g", f, float64(i)/2, v, want)
			}
		}
	}
}

// TestLagsPeriod: steady harmonic tones to some cents at once, in windows of no
// more than three periods.
func TestLagsPeriod(t *testing.T) {
	for _, rate := range []float64{8000, 10000, 15999} {
		l := newLags(rate)
		hush := make([]float64, len(l.r))
		for hz := 20.0; hz < 1590; hz *= 1.07 {
			x := make([]float64, int(3/hz*rate)+2)
			for k := 1.0; k <= 12 && k*hz < 2800; k++ {
				x = plus(x, damped(len(x), rate, k*hz, 0, 1/k, k*k))
			}
			got, _ := l.period(x, lagQuery{rate: rate, hush: hush, least: 0.9})
			if !(math.Abs(cents(got, hz)) < 4+hz/200) { // in three periods there is no second to measure by
				t.Errorf("%.1f Hz at %g Hz: %.2f, %.1f cents off", hz, rate, got, cents(got, hz))
			}
		}
		for _, x := range [][]float64{nil, {1}, {1, 2, 3}, make([]float64, 1000), repeat(1, 1000), whiteNoise(1000, 1, 1)} {
			if hz, _ := l.period(x, lagQuery{rate: rate, hush: hush, least: ringR}); hz != 0 {
				t.Errorf("%g Hz in %d samples of none", hz, len(x))
			}
		}
	}
}

// TestLagsFirm: an established period stands though the partials that made it have
// died, if nothing shorter came near it while they lived.
func TestLagsFirm(t *testing.T) {
	const rate, hz = 8000.0, 100.0
	l := newLags(rate)
	x := plus(damped(640, rate, 2*hz, 0, 1, 0), damped(640, rate, hz, 0, 0.05, 1))
	for _, c := range []struct {
		held, want float64
		firm       bool
	}{{0, 2 * hz, false}, {hz, 2 * hz, false}, {hz, hz, true}} {
		got, _ := l.period(x, lagQuery{rate: rate, hush: make([]float64, len(l.r)), held: c.held, firm: c.firm, least: ringR})
		near(t, "period, Hz", got, c.want, 0.3)
	}
	strong := plus(x, damped(640, rate, hz, 0, 0.5, 1))
	if got, firm := l.period(strong, lagQuery{rate: rate, hush: make([]float64, len(l.r)), least: ringR}); !firm || math.Abs(got-hz) > 0.3 {
		t.Errorf("%g Hz, firm %t; want %g, firm", got, firm, hz)
	}
}
