package detect

import "math"

// A Tracker follows sound as it comes: level and a first pitch for the eye, and
// where plucks begin and end, so that each can be measured as soon as it has
// said enough. Readings come from Analyze; nothing here is one. It allocates
// nothing after NewTracker.
type Tracker struct {
	rate   float64
	hop    int
	ring   []float64 // the last window of samples, oldest first
	window []float64
	filled int
	since  int // samples since the last hop
	seen   int64
	auto   *autocorrelator
	now    Now

	floor  float64 // slow minimum of the level, dB
	recent [32]float64
	at     int
	start  float64
	peak   float64
}

// Now is what a Tracker can say at a moment.
type Now struct {
	Seconds float64 // of sound so far
	LevelDB float64 // rms of the last hop, dB re full scale
	Hz      float64 // a first pitch, good to some cents; 0 where there is none
	Ringing bool    // a pluck is sounding
	Done    bool    // one has just ended, or has said enough: it lies from From to Seconds
	From    float64 // s, its onset
}

const (
	trackHop    = 0.02 // s
	trackWindow = 0.16 // s, three periods of 20 Hz
	enough      = 4.2  // s after which a pluck need not be waited for
)

// NewTracker makes a tracker for a sample rate in hertz.
func NewTracker(rate float64) *Tracker {
	n := int(trackWindow * rate)
	return &Tracker{rate: rate, hop: int(trackHop * rate), ring: make([]float64, 0, 2*n), window: make([]float64, n),
		auto: newAutocorrelator(n), floor: -40, now: Now{LevelDB: -200}}
}

// Push takes in the next samples, any number, and returns the state after them.
// Done is set at most once per call.
func (t *Tracker) Push(x []float64) Now {
	t.now.Done = false
	for len(x) > 0 {
		k := min(len(x), t.hop-t.since)
		t.keep(x[:k])
		t.since += k
		t.seen += int64(k)
		x = x[k:]
		if t.since == t.hop {
			t.since = 0
			t.step()
		}
	}
	t.now.Seconds = float64(t.seen) / t.rate
	return t.now
}

// keep appends to the window, dropping what is older.
func (t *Tracker) keep(x []float64) {
	if len(t.ring)+len(x) > cap(t.ring) {
		n := copy(t.ring, t.ring[len(t.ring)-len(t.window):])
		t.ring = t.ring[:n]
	}
	t.ring = append(t.ring, x...)
}

// step looks at one hop.
func (t *Tracker) step() {
	sum := 0.0
	for _, v := range t.ring[len(t.ring)-t.hop:] {
		sum += v * v
	}
	level := decibel(sum / float64(t.hop))
	before := t.loudestRecent()
	t.recent[t.at%len(t.recent)] = level
	t.at++
	t.now.LevelDB = level
	t.now.Seconds = float64(t.seen) / t.rate
	if level < t.floor {
		t.floor = level
	} else {
		t.floor += min(level-t.floor, 0.02) // a dB a second: hum coming up is not a pluck
	}
	switch {
	case level > before+6 && level > t.floor+12 && level > -75:
		if t.now.Ringing && t.now.Seconds-t.start > 0.3 {
			t.done()
		}
		if !t.now.Ringing || t.now.Seconds-t.start > 0.3 {
			t.start, t.peak = max(0, t.now.Seconds-2*trackHop), level
		}
		t.now.Ringing = true
	case t.now.Ringing && (level < t.floor+4 || level < t.peak-45 || t.now.Seconds-t.start > enough):
		t.done()
		t.now.Ringing = false
	}
	t.peak = max(t.peak, level)
	t.now.Hz = 0
	if t.now.Ringing && len(t.ring) >= len(t.window) && t.now.Seconds-t.start > 0.06 {
		copy(t.window, t.ring[len(t.ring)-len(t.window):])
		t.now.Hz = t.firstPitch()
	}
}

func (t *Tracker) done() { t.now.Done, t.now.From = true, t.start }

// loudestRecent is the highest level of the last hops, over more than a period.
func (t *Tracker) loudestRecent() float64 {
	m := math.Inf(-1)
	for i := max(0, t.at-5); i < t.at; i++ {
		m = max(m, t.recent[i%len(t.recent)])
	}
	if t.at == 0 {
		return -200
	}
	return m
}

// firstPitch is the highest peak of the autocorrelation, shorter lags first
// where several are nearly as high.
func (t *Tracker) firstPitch() float64 {
	r := t.auto.correlate(t.window)
	lo, hi := max(2, int(t.rate/highestF0)), min(int(t.rate/lowestF0)+1, len(r)*2/3)
	top := 0.0
	for i := lo; i < hi; i++ {
		top = max(top, r[i])
	}
	if top < 0.5 {
		return 0
	}
	for i := lo; i+1 < hi; i++ {
		if r[i] > 0.93*top && r[i] > r[i-1] && r[i] >= r[i+1] {
			d := vertex(r[i-1], r[i], r[i+1])
			return t.rate / (float64(i) + d)
		}
	}
	return 0
}
