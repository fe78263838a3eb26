package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Strings are heard below about 10 kHz; a working rate of 22 to 44 kHz carries
// that and keeps every later step small.
const workingRate = 22050

// decimate lowers the sample rate by the largest whole factor that leaves at
// least workingRate, with a linear-phase low-pass (Kaiser-windowed sinc, about
// 90 dB, flat to 0.42 of the new rate) whose delay is taken out: sample i of
// the result lies at the time of sample i·d of x.
func decimate(x []float64, rate float64) (y []float64, newRate float64) {
	d := int(rate / workingRate)
	if d < 2 {
		return x, rate
	}
	return thin(x, rate, d)
}

// thin is decimate by a whole factor.
func thin(x []float64, rate float64, d int) (y []float64, newRate float64) {
	h := lowpass(d, 90, 0.42, 0.54) // what folds lands above 0.42
	half := len(h) / 2
	y = make([]float64, (len(x)+d-1)/d)
	for i := range y {
		lo := i*d - half
		a, b := max(lo, 0), min(lo+len(h), len(x))
		y[i] = floats.Dot(h[a-lo:b-lo], x[a:b])
	}
	return y, rate / float64(d)
}

// lowpass designs a filter for decimation by d: odd length, symmetric, unit gain
// at 0 Hz, attenuating by atten decibels. Its pass band ends and its stop band
// begins at the given fractions of the new rate.
// Kaiser 1974: β = 0.1102(A-8.7), taps = (A-8)/(2.285 Δω).
func lowpass(d int, atten, pass, stop float64) []float64 {
	dw := 2 * math.Pi * (stop - pass) / float64(d)
	half := int(math.Ceil((atten-8)/(2.285*dw))) / 2
	h := make([]float64, 2*half+1)
	cut := (pass + stop) / 2 / float64(d) // cycles per sample
	beta := 0.1102 * (atten - 8.7)
	for i := range h[:half+1] {
		t := float64(i - half)
		r := t / float64(half+1)
		h[i] = sinc(2*cut*t) * bessel0(beta*math.Sqrt(1-r*r))
		h[2*half-i] = h[i]
	}
	floats.Scale(1/floats.Sum(h), h)
	return h
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// bessel0 is the modified Bessel function of order 0 by its power series
// (Abramowitz & Stegun 9.6.12), to full precision for the small arguments here.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1; term > 1e-17*sum; k++ {
		term *= (x / 2) / float64(k) * (x / 2) / float64(k)
		sum += term
	}
	return sum
}
