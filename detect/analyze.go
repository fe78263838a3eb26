package detect

import (
	"errors"
	"fmt"
	"math"
)

// Options say what is known beforehand. The zero value is fine.
type Options struct {
	// Near is the note expected, Hz; 0 for none. It decides only between
	// fundamentals that the sound leaves open.
	Near float64
	// Flaws are places where samples are missing or damaged.
	Flaws []Flaw
}

// A Flaw is a stretch of samples not to be trusted; Len may be 0 where samples
// are missing before At.
type Flaw struct {
	At, Len int64
}

// ErrNotFinite is returned for samples that are NaN, infinite, or so far beyond
// full scale that they are no sound.
var ErrNotFinite = errors.New("detect: samples contain NaN, infinity or values far beyond full scale")

// Analyze measures every pluck in a take of mono samples, full scale ±1, at
// rate hertz (8 to 768 kHz), and pools those that can be trusted. What cannot be
// trusted is in the result with its doubts, not an error; errors are for calls
// that make no sense: a rate out of range, samples that are not finite, a note
// expected that is no frequency below the rate.
func Analyze(x []float64, rate float64, o Options) (Take, error) {
	return analyze(x, rate, o, nil)
}

// analyze is Analyze for a string that carries a mass, if any.
func analyze(x []float64, rate float64, o Options, m *Mass) (Take, error) {
	if !(rate >= 8000 && rate <= 768000) {
		return Take{}, fmt.Errorf("detect: sample rate %g Hz is outside 8 to 768 kHz", rate)
	}
	for _, v := range x {
		if !(math.Abs(v) <= largest) {
			return Take{}, ErrNotFinite
		}
	}
	if o.Near != 0 && !(o.Near > 0 && o.Near < rate) {
		return Take{}, fmt.Errorf("detect: near %g Hz is no frequency", o.Near)
	}
	t := Take{Rate: rate, Seconds: float64(len(x)) / rate}
	l := newListener(x, rate, o)
	l.mass = m
	for _, s := range l.stretches() {
		t.Plucks = append(t.Plucks, l.pluck(s))
	}
	if len(t.Plucks) == 0 {
		t.Doubts = append(t.Doubts, l.nothing())
	}
	reading, together := Pool(t.Plucks)
	t.Reading, t.Doubts = reading, append(t.Doubts, together...)
	return t, nil
}

// doubted counts the plucks from which a doubt of one kind took the trust.
func doubted(plucks []Pluck, c Code) int {
	n := 0
	for _, p := range plucks {
		if p.doubted(c) {
			n++
		}
	}
	return n
}

// A stretch is one pluck's share of a take, s.
type stretch struct {
	start, end float64
}

// A listener holds what all plucks of a take have in common.
type listener struct {
	opts    Options
	x       []float64 // at the working rate
	rate    float64
	top     float64 // Hz, above which nothing is looked for
	env     *envelope
	clip    struct{ first, last float64 } // s; last < first where nothing clips
	raw     float64                       // the take's own rate
	hush    *background                   // what was there before the first pluck
	plans   plans
	glass   lenses
	weights weights
	mass    *Mass // that the string carries; nil for none

	factor int               // by which the rate was lowered for a low string, 1 otherwise
	thin   map[int]*listener // to the same take at lower rates, by that factor
}

func newListener(x []float64, rate float64, o Options) *listener {
	l := &listener{opts: o, raw: rate, plans: plans{}, glass: lenses{}, weights: weights{}, factor: 1, thin: map[int]*listener{}}
	first, last, n := clips(x)
	l.clip.first, l.clip.last = 1, 0
	if n > 0 {
		l.clip.first, l.clip.last = float64(first)/rate, float64(last)/rate
	}
	l.x, l.rate = decimate(x, rate)
	l.top = min(0.42*l.rate, 10000)
	l.env = newEnvelope(l.x, l.rate)
	return l
}

// stretches cuts the take into plucks.
func (l *listener) stretches() []stretch {
	total := float64(len(l.x)) / l.rate
	on := l.env.onsets()
	if len(on) > 0 {
		l.hush = newBackground(l.x[:int(max(0, on[0]-0.03)*l.rate)], l.rate)
	}
	var out []stretch
	for i, s := range on {
		next := total
		if i+1 < len(on) {
			next = on[i+1] - 0.02
		}
		out = append(out, stretch{moment(l.x, l.rate, s), l.env.end(s, next)})
	}
	return out
}

// nothing says why no pluck was found.
func (l *listener) nothing() Doubt {
	peak := 0.0
	for _, v := range l.x {
		peak = max(peak, math.Abs(v))
	}
	say := "no pluck was heard: nothing in the take begins and dies away"
	if secs := float64(len(l.x)) / l.rate; secs < 3*leastSpan {
		say = fmt.Sprintf("no pluck was heard: the take lasts only %.0f ms", 1000*secs)
	}
	if peak < 1e-4 {
		say = "no pluck was heard: the take is silent"
	}
	return Doubt{Code: NothingHeard, Say: say, Fatal: true}
}
