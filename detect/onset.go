package detect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// An envelope is the level of a take over time in octave bands, in decibels
// above each band's noise floor.
type envelope struct {
	hop   float64     // s between frames
	half  float64     // s, half a frame: frame i is centred at i·hop
	bands [][]float64 // [band][frame] dB over the floor, never below 0
	total []float64   // [frame] power of the whole, dB re full scale
	loud  []float64   // [frame] the loudest band's dB over its floor
}

const (
	frameSeconds = 0.04
	hopSeconds   = 0.005
)

// newEnvelope measures x frame by frame.
func newEnvelope(x []float64, rate float64) *envelope {
	size := 64
	for float64(size) < frameSeconds*rate {
		size *= 2
	}
	hop := max(1, int(hopSeconds*rate))
	frames := len(x)/hop + 1
	e := &envelope{hop: float64(hop) / rate, half: float64(size) / 2 / rate}

	edges := []int{max(1, int(30/rate*float64(size)))}
	for hz := 80.0; hz < min(rate/2, 11000); hz *= 2 {
		if k := int(math.Ceil(hz / rate * float64(size))); k > edges[len(edges)-1] {
			edges = append(edges, k)
		}
	}
	e.bands = make([][]float64, len(edges)-1)
	for b := range e.bands {
		e.bands[b] = make([]float64, frames)
	}
	e.total = make([]float64, frames)
	e.loud = make([]float64, frames)

	plan := fourier.NewFFT(size)
	win := hann(size)
	buf := make([]float64, size)
	var coef []complex128
	for f := range frames {
		lo := f*hop - size/2
		for i := range buf {
			buf[i] = 0
			if k := lo + i; k >= 0 && k < len(x) {
				buf[i] = x[k] * win[i]
			}
		}
		coef = plan.Coefficients(coef, buf)
		scale := 8 / (3 * float64(size) * float64(size)) * 2
		all := 0.0
		for b := range e.bands {
			sum := 0.0
			for _, c := range coef[edges[b]:edges[b+1]] {
				sum += real(c)*real(c) + imag(c)*imag(c)
			}
			e.bands[b][f] = decibel(sum * scale)
			all += sum * scale
		}
		e.total[f] = decibel(all)
	}
	for _, band := range e.bands {
		floor := bandFloor(band)
		for f, v := range band {
			band[f] = max(0, v-floor)
			e.loud[f] = max(e.loud[f], band[f])
		}
	}
	return e
}

// bandFloor is what counts as silence in a band: a low quantile over the take,
// at most 70 dB under its loudest frame.
func bandFloor(band []float64) float64 {
	s := slices.Clone(band)
	slices.Sort(s)
	return max(s[len(s)/10], s[len(s)-1]-70, -140)
}

func decibel(power float64) float64 { return 10 * math.Log10(power+1e-30) }

const (
	riseLook   = 0.090 // s back over which a rise is judged: longer than a 20 Hz string's period
	riseBand   = 6.0   // dB by which one band must rise to count
	riseSum    = 14.0  // dB over all the bands that count, together
	riseTotal  = 1.0   // dB by which the whole must rise
	onsetApart = 0.12  // s, plucks closer than this are one
	heardOver  = 10.0  // dB over the floor: less is not a pluck
)

// onsets finds the times, in seconds, at which a pluck begins: several octave
// bands rise at once above all they reached in the time before. Looking back
// over more than a period keeps a low string's separate pulses from counting.
func (e *envelope) onsets() []float64 {
	back := int(riseLook / e.hop)
	skip := int(2*e.half/e.hop) / 2 // frames that share sound with this one
	var strength []float64
	for f := range e.total {
		sum := 0.0
		for _, band := range e.bands {
			if rise := band[f] - loudestBefore(band, f, back, skip); rise > riseBand && band[f] > heardOver {
				sum += rise
			}
		}
		if e.total[f]-loudestBefore(e.total, f, back, skip) < riseTotal {
			sum = 0
		}
		strength = append(strength, sum)
	}
	var out []float64
	for f := 0; f < len(strength); f++ {
		if strength[f] < riseSum {
			continue
		}
		// The rise is steepest where the frame's centre meets the attack; look
		// for the peak of the strength while it lasts.
		best := f
		end := f
		for end < len(strength) && strength[end] >= riseSum && float64(end-f)*e.hop < onsetApart {
			if strength[end] > strength[best] {
				best = end
			}
			end++
		}
		t := max(0, float64(f)*e.hop+e.half/2)
		if f == 0 {
			t = 0
		}
		if len(out) == 0 || t-out[len(out)-1] > onsetApart {
			out = append(out, t)
		}
		f = end
	}
	return out
}

// loudestBefore is the highest value in the frames before f, from back to skip
// frames ago; before the take began there was silence.
func loudestBefore(v []float64, f, back, skip int) float64 {
	lo, hi := f-back, f-skip
	m := math.Inf(-1)
	for i := max(lo, 0); i <= hi; i++ {
		m = max(m, v[i])
	}
	if hi < 0 {
		return -20
	}
	if lo < 0 {
		return max(m, 0)
	}
	return m
}

const (
	dampDrop    = 12.0 // dB that a hand takes off within dampSeconds
	dampSeconds = 0.06
	dampSpan    = 0.06 // s over which the loudest frame is taken
)

// end finds where the pluck that began at start stops being worth listening to:
// before next, at a hand's damping, or where it has sunk into the noise.
func (e *envelope) end(start, next float64) float64 {
	first := int((start+0.1)/e.hop) + 1
	last := min(int(next/e.hop), len(e.total)-1)
	ahead := int(dampSeconds / e.hop)
	quiet := 0
	for f := first; f <= last; f++ {
		if f+ahead <= last && e.damped(f, ahead) {
			return float64(f)*e.hop - e.half/2
		}
		if e.loud[f] < 4 {
			if quiet++; quiet > 20 {
				return float64(f-20) * e.hop
			}
		} else {
			quiet = 0
		}
	}
	return next
}

// damped tells whether all the sound falls off a cliff just after frame f. It
// compares the loudest frames of stretches longer than a low string's period,
// whose separate pulses would look like cliffs one by one.
func (e *envelope) damped(f, ahead int) bool {
	if e.loud[f] < dampDrop {
		return false
	}
	span := int(dampSpan / e.hop)
	top := func(at int) float64 {
		m := math.Inf(-1)
		for i := max(at, 0); i < min(at+span, len(e.total)); i++ {
			m = max(m, e.total[i])
		}
		return m
	}
	if f+ahead+span > len(e.total) {
		return false
	}
	now := top(f - span)
	fall := now - top(f+ahead)
	slope := (top(f-2*span) - now) * float64(ahead+span) / float64(span)
	return fall > dampDrop+max(slope, 0)
}
