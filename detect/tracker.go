package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// A Tracker follows sound as it comes: level and a first pitch for the eye, and
// where plucks begin and end, so that each can be measured as soon as it has
// said enough. Readings come from Analyze; nothing here is one. What it says
// depends on the samples alone, not on the pieces they come in. It allocates
// nothing after NewTracker while plucks are fetched as they end.
type Tracker struct {
	rate  float64
	block []float64 // samples of the step to come; nil where the rate is none
	fill  int
	seen  int64

	mean   float64 // of the samples, slow
	level  shortLevel
	chain  []*thinner // down to the rate at which pitch is looked for
	cut    highpass
	halver *thinner
	gate   gate
	ear    *pitcher

	now  Now
	over []ring // plucks that are over and not yet fetched
}

// Now is what a Tracker can say at a moment.
type Now struct {
	Seconds float64 // of sound so far
	LevelDB float64 // rms of the last 20 ms without their constant, dB re full scale; -200 for silence
	Hz      float64 // a first pitch, good to some cents; 0 where there is none
	Ringing bool    // a pluck is sounding
	Done    bool    // within the last Push one ended or said enough; the latest lies from From to To
	From    float64 // s, its onset or up to 30 ms before
	To      float64 // s, its end, or from where it need not be waited for
}

// A ring is a pluck from its onset to its end, s.
type ring struct{ from, to float64 }

const (
	trackStep = 0.005   // s, about: a whole number of samples at every rate within
	trackRate = 8000.0  // Hz, at least, at which pitch is looked for
	wideRate  = 24000.0 // Hz, at least, left by the first of two thinners
	// Below lie rumble and hum, and of a string no more than a partial or two that
	// its period does without.
	lowCut   = 60.0    // Hz
	meanSpan = 0.1     // s over which the samples' mean is followed
	largest  = 1 << 31 // what is beyond is no sample
	silentDB = -200.0
	backlog  = 16 // plucks that may wait to be fetched before memory is asked for
)

// NewTracker makes a tracker for a sample rate in hertz, from 8 to 768 kHz. At
// any other it hears nothing and only counts time.
func NewTracker(rate float64) *Tracker {
	t := &Tracker{rate: rate, now: Now{LevelDB: silentDB}}
	if !(rate >= 8000 && rate <= 768000) {
		return t
	}
	// In two stages, since all but the last may leave in what folds to where the
	// next one cuts.
	wide := max(1, int(rate/wideRate))
	last := int(rate / float64(wide) / trackRate)
	unit := wide * last * 2
	n := max(1, int(math.Round(trackStep*rate/float64(unit)))) * unit
	step := float64(n) / rate
	low := rate / float64(wide*last)
	t.block = make([]float64, n)
	if wide > 1 {
		t.chain = append(t.chain, newThinner(wide, n, 0.15, 0.85))
	}
	if last > 1 {
		t.chain = append(t.chain, newThinner(last, n/wide, 0.35, 0.5))
	}
	t.halver = newThinner(2, n/wide/last, 0.35, 0.5)
	t.cut = newHighpass(lowCut, low)
	t.gate = newGate(step, low)
	t.ear = newPitcher(low)
	t.over = make([]ring, 0, backlog)
	return t
}

// Push takes in the next samples, any number, and returns the state after them.
// Samples that are not finite, or beyond ±2³¹, count as 0. However many plucks
// end within x, Next has them all.
func (t *Tracker) Push(x []float64) Now {
	t.now.Done = false
	for t.block != nil && len(x) > 0 {
		k := copy(t.block[t.fill:], x)
		x = x[k:]
		t.fill += k
		t.seen += int64(k)
		if t.fill == len(t.block) {
			t.fill = 0
			t.step()
		}
	}
	t.seen += int64(len(x))
	if t.rate > 0 && !math.IsInf(t.rate, 1) {
		t.now.Seconds = float64(t.seen) / t.rate
	}
	return t.now
}

// Next fetches the plucks that have ended or said enough since they were last
// fetched, one a call, the oldest first: its onset, or up to 30 ms before, and its
// end, in seconds. ok is false when there are no more.
func (t *Tracker) Next() (from, to float64, ok bool) {
	if len(t.over) == 0 {
		return 0, 0, false
	}
	r := t.over[0]
	t.over = t.over[:copy(t.over, t.over[1:])]
	return r.from, r.to, true
}

// step takes in one block.
func (t *Tracker) step() {
	x := t.block
	first := t.seen == int64(len(x))
	t.now.LevelDB = t.level.step(t.power(x, first))
	for _, th := range t.chain {
		if first {
			th.prime(x[0])
		}
		x = th.thin(x)
	}
	if first {
		t.cut.prime(x[0])
	}
	t.cut.run(x)
	r, ended := t.gate.step(float64(t.seen)/t.rate, x)
	if ended {
		t.over = append(t.over, r)
		t.now.Done, t.now.From, t.now.To = true, r.from, r.to
	}
	t.now.Ringing = t.gate.ringing
	t.now.Hz = t.ear.hear(x, t.halver.thin(x), &t.gate)
}

// power is the mean square of x about the slow mean of all that came. It sets to 0
// what is no sample.
func (t *Tracker) power(x []float64, first bool) float64 {
	sum := floats.Dot(x, x)
	if !(sum < largest*largest) {
		for i, v := range x {
			if !(math.Abs(v) <= largest) {
				x[i] = 0
			}
		}
		sum = floats.Dot(x, x)
	}
	n := float64(len(x))
	mean := floats.Sum(x) / n
	if first {
		t.mean = mean
	}
	t.mean += (mean - t.mean) * n / (meanSpan * t.rate)
	return max(0, sum/n-2*t.mean*mean+t.mean*t.mean)
}
