package detect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/floats"
)

// An envelope is the level of a take over time in octave bands, in decibels
// above each band's noise floor.
type envelope struct {
	hop   float64     // s between frames
	half  float64     // s, half a frame: frame i is centred at half + i·hop
	bands [][]float64 // [band][frame] dB over the floor, never below 0
	rise  []float64   // [band] dB by which it must rise to count, more where few bins make it unsteady
	total []float64   // [frame] dB, power of all bands, each over its floor
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
	// Whole frames only: a tone cut off within one would look like an attack.
	frames := 0
	if len(x) >= size {
		frames = (len(x)-size)/hop + 1
	}
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
		e.rise = append(e.rise, riseBand+12/math.Sqrt(float64(edges[b+1]-edges[b])))
	}
	e.total = make([]float64, frames)
	e.loud = make([]float64, frames)

	plan := fourier.NewFFT(size)
	win := hann(size)
	buf := make([]float64, size)
	var coef []complex128
	for f := range frames {
		for i, v := range x[f*hop : f*hop+size] {
			buf[i] = v * win[i]
		}
		coef = plan.Coefficients(coef, buf)
		scale := 8 / (3 * float64(size) * float64(size)) * 2
		for b := range e.bands {
			sum := 0.0
			for _, c := range coef[edges[b]:edges[b+1]] {
				sum += sq(c)
			}
			e.bands[b][f] = decibel(sum * scale)
		}
	}
	for _, band := range e.bands {
		floor := bandFloor(band)
		for f, v := range band {
			band[f] = max(0, v-floor)
			e.loud[f] = max(e.loud[f], band[f])
			e.total[f] += math.Pow(10, band[f]/10)
		}
	}
	for f, p := range e.total {
		e.total[f] = decibel(p)
	}
	return e
}

// bandFloor is what counts as silence in a band: a low quantile over the take,
// at most 70 dB under its loudest frame.
func bandFloor(band []float64) float64 {
	if len(band) == 0 {
		return 0
	}
	s := slices.Clone(band)
	slices.Sort(s)
	return max(s[len(s)/10], s[len(s)-1]-70, -140)
}

func decibel(power float64) float64 { return 10 * math.Log10(power+1e-30) }

const (
	riseLook   = 0.090 // s back over which a rise is judged: longer than a 20 Hz string's period
	riseBand   = 4.5   // dB by which one wide band must rise to count
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
		for b, band := range e.bands {
			if rise := band[f] - loudestBefore(band, f, back, skip); rise > e.rise[b] && band[f] > heardOver {
				sum += rise
			}
		}
		if e.total[f]-loudestBefore(e.total, f, back, skip) < riseTotal {
			sum = 0
		}
		strength = append(strength, sum)
	}
	var out []float64
	if e.beginsRinging() {
		out = append(out, 0)
	}
	for f := 1; f < len(strength); f++ {
		need := riseSum
		if f < back {
			need *= 2 // little to compare with: chance rises are likelier
		}
		if strength[f] < need {
			continue
		}
		// The strength passes its threshold when a frame has taken in a little of
		// the attack, about a quarter of a frame before its end.
		t := e.time(f) + e.half/2
		if len(out) == 0 || t-out[len(out)-1] > onsetApart {
			out = append(out, t)
		}
		for f+1 < len(strength) && strength[f+1] >= riseSum && e.time(f+1)+e.half/2-t < onsetApart {
			f++
		}
	}
	if len(out) == 0 && e.heard() {
		// No clear attack, but something sounds: a soft one, or a take cut from the
		// middle of a note.
		at := 0.0
		if f := floats.MaxIdx(strength); strength[f] > 0 {
			at = e.time(f) + e.half/2
		}
		out = append(out, at)
	}
	return out
}

// time is the centre of frame f, s.
func (e *envelope) time(f int) float64 { return e.half + float64(f)*e.hop }

// frame is the frame centred nearest to t.
func (e *envelope) frame(t float64) int {
	return min(max(0, int((t-e.half)/e.hop+0.5)), len(e.total)-1)
}

// beginsRinging tells whether the take starts within a pluck: loud at once, and
// clearly dying away, as hum and rumble do not.
func (e *envelope) beginsRinging() bool {
	if len(e.total) < int(0.35/e.hop) {
		return false
	}
	before := slices.Max(e.total[:int(0.1/e.hop)])
	after := slices.Max(e.total[e.frame(0.3):min(len(e.total), e.frame(0.3)+int(0.1/e.hop))])
	soon := slices.Max(e.total[:min(len(e.total), e.frame(0.4))])
	return before > 20 && before-after > 3 && soon < before+3
}

// heard tells whether anything at all stands out of the floor.
func (e *envelope) heard() bool {
	return len(e.loud) > 0 && slices.Max(e.loud) > heardOver
}

// loudestBefore is the highest value in the frames before f, from back to skip
// frames ago.
func loudestBefore(v []float64, f, back, skip int) float64 {
	m := math.Inf(-1)
	for i := max(f-back, 0); i <= f-skip; i++ {
		m = max(m, v[i])
	}
	if f < skip {
		return v[0] // nothing comes before: no rise
	}
	return m
}

const (
	dampDrop    = 12.0 // dB that a hand takes off within dampSeconds
	dampSeconds = 0.06
	dampSpan    = 0.06 // s over which the loudest frame is taken
	sunkAfter   = 0.12 // s after the onset from which, and for how long, a pluck must stand out of the floor
	sunkSpan    = 0.2
	trailing    = 2.0 // times as long as it stood out of the floor is a pluck listened to, if nothing else sounds
)

// end finds where the pluck that began at start stops being worth listening to:
// before next, at a hand's damping, or where it has sunk into the noise.
func (e *envelope) end(start, next float64) float64 {
	last := min(e.frame(next), len(e.total)-1)
	if f := e.frame(start + sunkAfter); f+int(sunkSpan/e.hop) <= last {
		loud := slices.Sorted(slices.Values(e.loud[f : f+int(sunkSpan/e.hop)]))
		if loud[len(loud)/2] < heardOver && slices.Max(e.loud[e.frame(start):f]) > 2*heardOver {
			return start + leastSpan // a hand damped it at once, within frames that share its attack
		}
	}
	ahead := int(dampSeconds / e.hop)
	quiet := 0
	for f := e.frame(start + 0.05); f <= last; f++ {
		if f+ahead <= last && e.damped(f, ahead, e.time(f) > start+0.15) {
			return e.time(f) - e.half/2
		}
		if e.loud[f] < 4 {
			if quiet++; quiet > 20 {
				return e.trail(start, f-20, last, next)
			}
		} else {
			quiet = 0
		}
	}
	return next
}

// damped tells whether all the sound falls off a cliff just after frame f. It
// compares the loudest frames of stretches longer than a low string's period,
// whose separate pulses would look like cliffs one by one. While it is not yet
// ringing, only silence counts: a pick's noise falls off as fast.
func (e *envelope) damped(f, ahead int, ringing bool) bool {
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
	after := top(f + ahead)
	fall := now - after
	slope := (top(f-2*span) - now) * float64(ahead+span) / float64(span)
	return fall > dampDrop+max(slope, 0) && (fall > 2*dampDrop || after < dampDrop) && (ringing || fall > 2*dampDrop && after < dampDrop)
}

// trail finds until when a pluck that began at start and has sunk to the floor of the
// bands at frame f is listened to: partials are narrower than bands, and heard longer.
func (e *envelope) trail(start float64, f, last int, next float64) float64 {
	sunk := e.time(f)
	most := start + trailing*(sunk-start)
	for ; f <= last; f++ {
		if e.time(f) >= most || e.loud[f] > heardOver {
			return max(sunk, min(most, e.time(f)-e.half))
		}
	}
	return min(most, next)
}
