package detect

import (
	"math"

	"github.com/mjibson/go-dsp/spectral"
)

// A background is the power spectral density of what is there without a pluck:
// noise, rumble and hum.
type background struct {
	density []float64 // full scale² per Hz, one-sided
	stepHz  float64
}

const (
	leastQuiet  = 0.25 // s of quiet without which there is no telling
	quietBlock  = 0.2  // s to a block of Welch's average
	quietMargin = 1.3  // by how much the estimate, of few blocks, may be low
)

// newBackground averages periodograms over the quiet stretch x (Welch 1967). It
// returns nil when x is too short.
func newBackground(x []float64, rate float64) *background {
	if float64(len(x)) < leastQuiet*rate {
		return nil
	}
	n := 2
	for float64(2*n) <= quietBlock*rate*1.4 {
		n *= 2
	}
	density, freqs := spectral.Pwelch(x, rate, &spectral.PwelchOptions{NFFT: n, Noverlap: n / 2, Window: hann})
	if len(freqs) < 2 {
		return nil
	}
	return &background{density, freqs[1]}
}

// raise lifts a floor to the power that the background would show in a spectrum
// of resolution resHz (1/duration) under a Hann window scaled so that a sinusoid
// of amplitude A reads A²: density times 3/duration. Hum, a line, is spread over
// the blocks' own width, yet still hides itself.
func (b *background) raise(floor []float64, binHz, resHz float64) {
	if b == nil {
		return
	}
	for i := range floor {
		f := float64(i) * binHz / b.stepHz
		k := int(f)
		if k+1 >= len(b.density) {
			return
		}
		d := math.Max(b.density[k], b.density[k+1])
		floor[i] = math.Max(floor[i], quietMargin*3*resHz*d)
	}
}

// level is what a sinusoid of the background's power from lo to hi Hz would read
// in a spectrum, dB; nothing known is silence.
func (b *background) level(lo, hi float64) float64 {
	if b == nil {
		return -300
	}
	power := 0.0
	for k := max(0, int(lo/b.stepHz)); k <= int(hi/b.stepHz)+1 && k < len(b.density); k++ {
		power += b.density[k] * b.stepHz
	}
	return decibel(2 * power)
}
