package detect

import (
	"fmt"
	"math"
	"testing"
)

// tableError is what the interpolation table may be off by at a fraction of the
// rate. Its window (Kaiser, β 9, 16 taps a side: 90 dB) reaches its full 3e-5 up
// to 0.5 - (90-8)/(2.285·32)/4π = 0.41 of the rate, and the steps of 1/256
// between rows, drawn straight, leave (2π·frac/256)²/8. Beyond 0.41 it falls off.
func tableError(frac float64) float64 {
	if frac > 0.41 {
		return 3e-3
	}
	return 3e-5 + math.Pow(2*math.Pi*frac/warpPhases, 2)/8
}

// TestUnglide resamples a tone that glides by the law to one that should stand
// still, and measures what is left in frequency and amplitude at several
// fractions of the rate. Working frequencies end at 0.42 of the rate.
func TestUnglide(t *testing.T) {
	const rate, from = 22050.0, 500
	for _, gl := range []glide{{g: 0.0058, alpha: 1.2}, {g: 0.0029, alpha: 6}, {g: -0.001, alpha: 0.5}, {g: 0.002, alpha: 1, slope: -0.0006}} {
		for _, frac := range []float64{0.002, 0.05, 0.2, 0.35, 0.42} {
			hz := frac * rate
			x := make([]float64, 40000)
			for i := range x {
				s := float64(i-from) / rate
				x[i] = math.Cos(2 * math.Pi * hz * (s + gl.ahead(s)))
			}
			got := make([]float64, 33000)
			unglide(got, x, from, rate, gl)
			off := 0.0
			for i, v := range got {
				off = max(off, math.Abs(v-math.Cos(2*math.Pi*hz*float64(i)/rate)))
			}
			begin, end := toneAt(got[:6000], rate, hz), toneAt(got[27000:], rate, hz)
			t.Logf("glide %.2f cents, %g of the rate: worst sample %.1e, %+.1e and %+.1e cents, amplitude %+.1e",
				1731*gl.g, frac, off, begin.cents, end.cents, begin.amp-1)
			maxCents := 1e-4
			if frac > 0.41 {
				maxCents = 5e-4
			}
			for _, m := range []toneIn{begin, end} {
				if math.Abs(m.cents) > maxCents || math.Abs(m.amp-1) > tableError(frac) {
					t.Errorf("glide %v at %g of the rate: off by %.1e cents, amplitude %.5f", gl, frac, m.cents, m.amp)
				}
			}
			// The shift is drawn straight over 32 samples, where its curvature is
			// 2αg, and found by fixed point to g⁴ of 1/2α.
			late := math.Pow(32/rate, 2)/8*2*gl.alpha*math.Abs(gl.g) + math.Pow(gl.g, 4)/(2*gl.alpha)
			if tol := 2*math.Pi*hz*late + 2*tableError(frac); off > tol {
				t.Errorf("glide %v at %g of the rate: a sample is off by %.1e, want %.1e", gl, frac, off, tol)
			}
		}
	}
}

// A toneIn is a steady tone as found in some samples.
type toneIn struct{ cents, amp float64 }

// toneAt measures a tone near hz by the phase it gains between the two halves of
// x, each under a Hann window.
func toneAt(x []float64, rate, hz float64) toneIn {
	h := len(x) / 2
	win := hann(h)
	sum := 0.0
	for _, w := range win {
		sum += w
	}
	a, b := project(x[:h], win, hz, rate, 0), project(x[h:2*h], win, hz, rate, float64(h)/rate)
	z := b / a
	turn := math.Atan2(imag(z), real(z)) / (2 * math.Pi)
	return toneIn{1200 / math.Ln2 * turn / (float64(h) / rate) / hz, 2 * math.Sqrt(sq(a)) / sum}
}

func TestUnglideWithoutGlide(t *testing.T) {
	x := whiteNoise(100, 1, 3)
	got := make([]float64, 40)
	unglide(got, x, 7, 8000, glide{g: 0, alpha: 1})
	for i, v := range got {
		if v != x[7+i] {
			t.Fatalf("sample %d is %g, want %g", i, v, x[7+i])
		}
	}
}

// TestInterpolate holds the table against the tone itself at every kind of
// fraction, and against silence beyond the ends.
func TestInterpolate(t *testing.T) {
	x := make([]float64, 400)
	for _, frac := range []float64{0.01, 0.1, 0.25, 0.35, 0.41, 0.42} {
		for i := range x {
			x[i] = math.Cos(2*math.Pi*frac*float64(i) + 0.3)
		}
		off := 0.0
		for i := range 1000 {
			at := 150 + float64(i)*0.1037
			off = max(off, math.Abs(interpolate(x, at)-math.Cos(2*math.Pi*frac*at+0.3)))
		}
		t.Logf("at %g of the rate: %.1e", frac, off)
		if tol := 2 * tableError(frac); off > tol { // gain and image
			t.Errorf("at %g of the rate a value is off by %.1e, want %.0e", frac, off, tol)
		}
	}
	for _, i := range []int{0, 3, 200, 398, 399} {
		near(t, fmt.Sprintf("sample %d itself", i), interpolate(x, float64(i)), x[i], 1e-12)
	}
	for _, at := range []float64{-100, -17, 400 + 17, 1e6} {
		if v := interpolate(x, at); v != 0 {
			t.Errorf("beyond the ends, at %g: %g", at, v)
		}
	}
}

func TestGlideAhead(t *testing.T) {
	gl := glide{g: 0.004, alpha: 1.3}
	const h = 1e-4
	for _, at := range []float64{0.01, 0.2, 1, 3} {
		slope := (gl.ahead(at+h) - gl.ahead(at-h)) / (2 * h)
		near(t, "slope of ahead", slope, gl.g*math.Exp(-2*gl.alpha*at), 1e-9)
	}
	if gl.ahead(0) != 0 || (glide{g: 0, alpha: 0}).ahead(2) != 0 {
		t.Error("nothing is ahead at the start or without a glide")
	}
}
