package calib

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
)

const (
	// toneSamples is how many samples are looked at for other tones, at most; else the
	// largest power of two that there is.
	toneSamples = 1 << 19
	// standsOut is the power of a tone over the median of the bins around it, as a
	// ratio: noise reaches 20 in the largest of some hundred thousand bins.
	standsOut = 50
	// faint is the power over that of the reference tone below which another tone
	// does not matter: −20 dB.
	faint = 0.01
	// skirt is half the width of a tone in bins, by the window (Blackman–Harris: four
	// from the middle to the first zero).
	skirt = 5
	// around is how far, in bins, the noise of a bin is looked for.
	around = 60
)

// soleTone finds the tone within what a clock may be off, 5000 ppm, of f, Hz, to a
// fraction of a bin. It must be alone but for its harmonics.
func soleTone(x []float64, rate, f float64) (float64, error) {
	n := min(toneSamples, 1<<(bits.Len(uint(len(x)))-1))
	x = x[(len(x)-n)/2:][:n]
	power := powers(x)
	bin := rate / float64(len(x))
	lines := linesOf(power)
	reach := usable*1e-6*f + 2*bin
	best, loudest := -1, -1
	for _, i := range lines {
		if math.Abs(float64(i)*bin-f) <= reach && (best < 0 || power[i] > power[best]) {
			best = i
		}
		if loudest < 0 || power[i] > power[loudest] {
			loudest = i
		}
	}
	if best < 0 {
		why := fmt.Sprintf("is not there: nothing sounds within %d ppm of %g Hz", usable, f)
		if loudest >= 0 {
			why += fmt.Sprintf(", the loudest tone is at %.1f Hz", (float64(loudest)+vertex(power, loudest))*bin)
		}
		return 0, toneError(why, "check which tone it is, and the sample rate")
	}
	at := (float64(best) + vertex(power, best)) * bin
	for _, i := range lines {
		hz := float64(i) * bin
		harmonic := math.Max(1, math.Round(hz/at))
		apart := math.Abs(hz - harmonic*at)
		if power[i] > faint*power[best] && apart > skirt*bin && (harmonic == 1 || apart > 0.01*at) {
			return 0, toneError(fmt.Sprintf("is not alone: there is a tone of %.2f Hz beside that of %.2f Hz", hz, at),
				"take the tone alone, and keep off mains leads")
		}
	}
	return at, nil
}

// powers is the power spectrum of x under a window that hides no faint tone beside a
// loud one.
func powers(x []float64) []float64 {
	mean := 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	w := make([]float64, len(x))
	for i, v := range x {
		w[i] = v - mean
	}
	coef := fourier.NewFFT(len(w)).Coefficients(nil, window.BlackmanHarris(w))
	power := make([]float64, len(coef))
	for i, c := range coef {
		power[i] = real(c)*real(c) + imag(c)*imag(c)
	}
	return power
}

// linesOf lists the bins where tones stand out of the noise around them.
func linesOf(power []float64) []int {
	loudest := slices.Max(power)
	var lines []int
	var near []float64
	for i := skirt; i < len(power)-skirt; i++ {
		if power[i] < power[i-1] || power[i] <= power[i+1] || power[i] < 1e-6*loudest {
			continue
		}
		near = near[:0]
		for j := max(0, i-around); j < min(len(power), i+around+1); j += 4 { // these are enough for a median
			if j < i-skirt || j > i+skirt {
				near = append(near, power[j])
			}
		}
		slices.Sort(near)
		if power[i] > standsOut*near[len(near)/2] {
			lines = append(lines, i)
		}
	}
	return lines
}

// vertex is by what fraction of a bin the parabola through the logarithms around a
// peak has its top beside it.
func vertex(power []float64, i int) float64 {
	a, b, c := math.Log(power[i-1]), math.Log(power[i]), math.Log(power[i+1])
	if d := a - 2*b + c; d < 0 {
		return min(max((a-c)/(2*d), -0.5), 0.5)
	}
	return 0
}
