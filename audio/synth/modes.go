package synth

import "math"

// A mode is one damped sinusoid amp·exp(−decay·t)·cos(omega·W(t) + phase), t
// seconds after the onset; omega in rad/s at rest.
type mode struct {
	omega, decay, amp, phase float64
}

const (
	// Modes are rendered block by block, each block anchored anew by sine,
	// cosine and exponential, so that rounding does not pile up.
	longestBlock = 512
	// A mode that fell by so many nepers is below the last bit of a double that
	// holds its start, and left out.
	spent = 40
)

// addModes adds the modes to dst, whose first sample lies first seconds after
// the onset.
func addModes(dst []float64, rate, first float64, modes []mode, w warp) {
	if w.straight() {
		addStraight(dst, rate, first, modes, w)
	} else {
		addCurved(dst, rate, first, modes, w)
	}
}

// ringing drops the modes that are spent at t, in place.
func ringing(modes []mode, t float64) []mode {
	kept := modes[:0]
	for _, m := range modes {
		if m.decay*t < spent {
			kept = append(kept, m)
		}
	}
	return kept
}

// A phasor is a mode at one sample, x+iy, and its factor rx+iry to the next.
type phasor struct{ x, y, rx, ry float64 }

// phasor returns the mode t seconds after the onset at the given angle, that
// advances by step rad a sample.
func (m mode) phasor(t, angle, step, rate float64) phasor {
	s, c := math.Sincos(angle)
	rs, rc := math.Sincos(step)
	amp, fall := m.amp*math.Exp(-m.decay*t), math.Exp(-m.decay/rate)
	return phasor{amp * c, amp * s, fall * rc, fall * rs}
}

// next turns the phasor by one sample.
func (p phasor) next() phasor {
	p.x, p.y = p.x*p.rx-p.y*p.ry, p.x*p.ry+p.y*p.rx
	return p
}
