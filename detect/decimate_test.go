package detect

import (
	"fmt"
	"math"
	"testing"
)

// response is the frequency response of a symmetric filter at f cycles a sample:
// real, since its delay is taken out.
func response(h []float64, f float64) float64 {
	sum, half := 0.0, len(h)/2
	for i, v := range h {
		sum += v * math.Cos(2*math.Pi*f*float64(i-half))
	}
	return sum
}

// TestLowpass: ripple up to 0.42 of the new rate and attenuation of all that
// would fold below it, for every factor that rates up to 384 kHz need.
func TestLowpass(t *testing.T) {
	for d := 2; d <= 17; d++ {
		h := lowpass(d, 90, 0.42, 0.54)
		if len(h)%2 != 1 {
			t.Fatalf("factor %d: %d taps, want an odd number", d, len(h))
		}
		for i, v := range h {
			if v != h[len(h)-1-i] {
				t.Fatalf("factor %d: taps %d and %d from the ends differ", d, i, i)
			}
		}
		near(t, "gain at 0 Hz", response(h, 0), 1, 1e-12)
		ripple, leak, fold := 0.0, 0.0, 0.0
		const steps = 200
		for i := range steps + 1 {
			pass := 0.42 * float64(i) / steps / float64(d)
			ripple = max(ripple, math.Abs(response(h, pass)-1))
			stop := (0.54 + (float64(d)/2-0.54)*float64(i)/steps) / float64(d)
			leak = max(leak, math.Abs(response(h, stop)))
			// What folds onto the pass band lies from 0.58 of the new rate on.
			alias := (0.58 + (float64(d)/2-0.58)*float64(i)/steps) / float64(d)
			fold = max(fold, math.Abs(response(h, alias)))
		}
		t.Logf("factor %2d: %4d taps, ripple %.1e, stop band %.1f dB, what folds below 0.42 %.1f dB", d, len(h), ripple, 20*math.Log10(leak), 20*math.Log10(fold))
		// Kaiser's design makes ripple and leak alike: 90 dB is 3.2e-5.
		if ripple > 4e-5 || leak > 4e-5 || fold > 3.2e-5 {
			t.Errorf("factor %d: ripple %.1e, stop band %.1e, folding %.1e", d, ripple, leak, fold)
		}
	}
}

func TestDecimate(t *testing.T) {
	const newRate = 22050.0
	for d := 2; d <= 17; d++ {
		rate := newRate * float64(d)
		n := int(0.03 * rate)
		// A decaying tone keeps its place in time: sample i is that of i·d.
		x := damped(n, rate, 3234.5, 3, 1, 0.4)
		y, r := decimate(x, rate)
		if r != newRate || len(y) != (n+d-1)/d {
			t.Fatalf("factor %d: %d samples at %g Hz", d, len(y), r)
		}
		off := 0.0
		for i := 100; i < len(y)-100; i++ {
			off = max(off, math.Abs(y[i]-x[i*d]))
		}
		// A tone that would alias into the pass band, 0.6 of the new rate.
		a, _ := decimate(damped(n, rate, 0.6*newRate, 0, 1, 0), rate)
		alias := 0.0
		for _, v := range a[100 : len(a)-100] {
			alias = max(alias, math.Abs(v))
		}
		if off > 4e-5 || alias > 3.2e-5 {
			t.Errorf("factor %d: off by %.1e, alias %.1e", d, off, alias)
		}
	}
}

func TestDecimateRates(t *testing.T) {
	for _, c := range []struct{ rate, want float64 }{
		{8000, 8000}, {22050, 22050}, {32000, 32000}, {44099, 44099}, {44100, 22050}, {48000, 24000},
		{88200, 22050}, {96000, 24000}, {192000, 24000}, {384000, 384000. / 17}, {768000, 768000. / 34},
	} {
		x := make([]float64, 1000)
		y, got := decimate(x, c.rate)
		if got != c.want {
			t.Errorf("%g Hz becomes %g, want %g", c.rate, got, c.want)
		}
		if got == c.rate && &y[0] != &x[0] {
			t.Errorf("%g Hz: copied for nothing", c.rate)
		}
	}
	if y, _ := decimate(nil, 48000); len(y) != 0 {
		t.Errorf("%d samples of none", len(y))
	}
}

// plainDecimate is decimate by its definition, one product after the other.
func plainDecimate(x []float64, d int) []float64 {
	h := lowpass(d, 90, 0.42, 0.54)
	y := make([]float64, (len(x)+d-1)/d)
	for i := range y {
		for k, v := range h {
			if j := i*d + k - len(h)/2; j >= 0 && j < len(x) {
				y[i] += v * x[j]
			}
		}
	}
	return y
}

func TestDecimateByDefinition(t *testing.T) {
	for _, rate := range []float64{44100, 48000, 96000, 192000, 768000} {
		for _, n := range []int{1, 2, 50, 999, 6001} {
			x := whiteNoise(n, 1, uint64(n))
			y, newRate := decimate(x, rate)
			want := plainDecimate(x, int(rate/newRate+0.5))
			if len(y) != len(want) {
				t.Fatalf("%d samples at %g Hz: %d, want %d", n, rate, len(y), len(want))
			}
			for i := range y {
				if math.Abs(y[i]-want[i]) > 1e-13 {
					t.Fatalf("%d samples at %g Hz, sample %d: %.16g, want %.16g", n, rate, i, y[i], want[i])
				}
			}
		}
	}
}

// BenchmarkDecimate lowers the rate of 1 s of sound, and does the same product by
// product.
func BenchmarkDecimate(b *testing.B) {
	for _, rate := range []float64{48000, 96000, 192000, 384000} {
		x := whiteNoise(int(rate), 1, 1)
		b.Run(fmt.Sprintf("%gkHz", rate/1000), func(b *testing.B) {
			for b.Loop() {
				decimate(x, rate)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
		})
		b.Run(fmt.Sprintf("%gkHz/plain", rate/1000), func(b *testing.B) {
			for b.Loop() {
				plainDecimate(x, int(rate/workingRate))
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
		})
	}
}

// Values from Abramowitz & Stegun, table 9.8 (from memory): I0(1), I0(2), I0(5), I0(10).
func TestBessel0(t *testing.T) {
	for x, want := range map[float64]float64{0: 1, 1: 1.2660658777520084, 2: 2.2795853023360673, 5: 27.239871823604442, 10: 2815.716628466254} {
		near(t, "I0", bessel0(x)/want, 1, 1e-14)
	}
}
