package audio

import "math"

// What a Source delivers lies within these, or is 0.
const (
	// MaxSample bounds samples. It leaves room for integers of 32 bits that
	// somebody stored as floating point without scaling them; what is beyond it
	// is damage, of which later arithmetic would make infinities.
	MaxSample = 1 << 31

	// minSample is the least that 32-bit floating point holds, 897 dB below full
	// scale. What is less is delivered as 0: it is no sound, and the least that 64
	// bits hold are slow to compute with and have no finite inverse.
	minSample = 0x1p-149
)

// A Mixer makes one channel of one or several, for implementations of Source,
// and finds out what is wrong with the samples.
type Mixer struct {
	at    int64 // frames mixed
	phase phaseWatch
	log   flawLog
}

// NewMixer returns a mixer of so many channels, 1 or more, at a rate in hertz.
func NewMixer(rate float64, channels int) *Mixer {
	return &Mixer{phase: newPhaseWatch(rate, channels)}
}

// Mix leaves the mean of the first n samples of all channels in channels[0]. A
// frame with a sample that is not finite or beyond MaxSample becomes 0, in the
// other channels too, and a flaw.
func (m *Mixer) Mix(channels [][]float64, n int) {
	m.clean(channels, n)
	if len(channels) > 1 {
		for from := 0; from < n; {
			to := min(n, from+m.phase.room())
			m.phase.watch(channels, from, to)
			mean(channels, from, to)
			if m.phase.mixed(channels[0][from:to]) {
				m.cancelled(m.at + int64(to))
			}
			from = to
		}
	}
	for i, x := range channels[0][:n] {
		if math.Abs(x) < minSample {
			channels[0][i] = 0
		}
	}
	m.at += int64(n)
}

// mean leaves the mean of a stretch of all channels in the first.
func mean(channels [][]float64, from, to int) {
	mix := channels[0][from:to]
	for _, c := range channels[1:] {
		for i, x := range c[from:to] {
			mix[i] += x
		}
	}
	for i := range mix {
		mix[i] /= float64(len(channels))
	}
}

// clean makes 0 of the first n frames those that hold no sound, and notes them.
func (m *Mixer) clean(channels [][]float64, n int) {
	sound := true
	for _, c := range channels {
		for _, x := range c[:n] {
			if !(x >= -MaxSample && x <= MaxSample) {
				sound = false
				break
			}
		}
	}
	if sound {
		return
	}
	for i := range n {
		bad, kind := false, TooLarge
		for _, c := range channels {
			if x := c[i]; x-x != 0 { // NaN and the infinities
				bad, kind = true, NotFinite
			} else if math.Abs(x) > MaxSample {
				bad = true
			}
		}
		if !bad {
			continue
		}
		for _, c := range channels {
			c[i] = 0
		}
		m.log.add(Flaw{kind, m.at + int64(i), 1})
	}
}

// cancelled notes that the channels cancel in what was watched before the frame
// end.
func (m *Mixer) cancelled(end int64) {
	n := int64(m.phase.count)
	m.log.add(Flaw{Cancelled, end - n, n})
}

// End judges what came since the last verdict: no more will come.
func (m *Mixer) End() {
	if m.phase.end() {
		m.cancelled(m.at)
	}
}

// Add notes a flaw that the mixer cannot see, at or before what has been
// delivered. Those of one kind come in the order of their positions.
func (m *Mixer) Add(f Flaw) { m.log.add(f) }

// Flaws lists the flaws, as Source.Flaws does, of a source that has delivered so
// many of the samples mixed. It may be called by any goroutine.
func (m *Mixer) Flaws(delivered int64) []Flaw { return m.log.list(delivered) }
