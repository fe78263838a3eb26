package synth

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// snrWindow is the longest stretch after the first onset over which the power
// of the string is taken, in seconds.
const snrWindow = 1

// powerAfterOnset returns the mean square of x over the stretch that Reference
// SNR names, 0 without plucks.
func (t Take) powerAfterOnset(x []float64) float64 {
	from, to := t.snrSamples()
	if from == to {
		return 0
	}
	var sum float64
	for _, v := range x[from:to] {
		sum += v * v
	}
	return sum / float64(to-from)
}

// snrSamples returns the samples over which the power of the string is taken.
func (t Take) snrSamples() (from, to int) {
	if len(t.Plucks) == 0 {
		return 0, 0
	}
	from = t.firstSample(t.Plucks[0].At)
	to = t.firstSample(min(t.Plucks[0].At+snrWindow, t.end(0)))
	return from, max(from, to)
}

// addNoise adds all noises, given the power that signal-to-noise ratios refer to.
func (t Take) addNoise(dst []float64, power float64, truth *Truth) {
	var total, white float64
	for i, n := range t.Noise {
		sigma := fromDB(n.DB)
		if n.Reference == SNR {
			sigma = math.Sqrt(power) / fromDB(n.DB)
		}
		total += sigma * sigma
		r := t.random(useNoise, i)
		if n.Color == White {
			white += sigma * sigma
			for k := range dst {
				dst[k] += sigma * r.NormFloat64()
			}
			continue
		}
		for k, v := range n.Color.shaped(len(dst), t.Rate, r.NormFloat64) {
			dst[k] += sigma * v
		}
	}
	truth.Sigma, truth.White = math.Sqrt(total), math.Sqrt(white)
	if power > 0 {
		truth.SNRdB = 10 * math.Log10(power/total)
	}
}

// density returns the shape of the power spectral density at f hertz.
func (c Color) density(f float64) float64 {
	switch {
	case c == Pink && f >= 10:
		return 1 / f
	case c == Rumble && f >= 5:
		return 1 / (1 + math.Pow(f/30, 8))
	}
	return 0
}

// shaped returns n samples of coloured Gaussian noise of unit variance, shaped
// bin by bin in a spectrum at least a second longer, so that the take does not
// hear the noise come round.
func (c Color) shaped(n int, rate float64, normal func() float64) []float64 {
	size := 2
	for float64(size) < float64(n)+rate {
		size *= 2
	}
	half := size / 2
	coef := make([]complex128, half+1)
	var sum float64
	for k := 1; k < half; k++ {
		d := c.density(float64(k) * rate / float64(size))
		sum += 4 * d
		a := math.Sqrt(d)
		coef[k] = complex(a*normal(), a*normal())
	}
	x := fourier.NewFFT(size).Sequence(nil, coef)[:n]
	scale := 1 / math.Sqrt(sum)
	for i := range x {
		x[i] *= scale
	}
	return x
}
