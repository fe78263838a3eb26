package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

const (
	levelSteps = 4  // over which a level is taken: 20 ms
	backSteps  = 20 // back over which a rise is judged: two periods of 20 Hz
	warmSteps  = 8  // without which nothing can rise
	quietSteps = 40 // after a pluck, before what is heard may be background

	beginRise  = 5.5   // dB above all of the last 0.1 s at which a pluck begins
	beginOver  = 6.0   // dB above the floor likewise
	beginCrest = 4.0   // dB above what the background rose to lately likewise
	beginLeast = -75.0 // dB re full scale likewise
	endOver    = 4.0   // dB above the floor at which it is over
	endDrop    = 45.0  // dB below its peak likewise
	pluckApart = 0.3   // s, plucks closer than this are one

	firstFloor = -50.0  // dB, a room's, until it is heard
	noRoom     = -120.0 // dB: less is no sound but its absence, and no floor
	floorRise  = 0.005  // dB a step, one a second
	crestFall  = 0.005  // dB a step
	crestMost  = 12.0   // dB above the floor: more is no background

	enough      = 4.2  // s after which a pluck has said enough: Analyze fits 4 s, past the attack
	enoughDrop  = 26.0 // dB of decay likewise
	enoughLeast = 0.5  // s before which no decay is enough
	settles     = 0.1  // s from the onset until the attack's noise is gone
	mustDecay   = 3.0  // dB that a pluck loses until then; what does not is no pluck
)

// A shortLevel is a level over the last few steps.
type shortLevel struct {
	power [levelSteps]float64
	steps int
}

// step takes in the mean power of a step and returns the level, dB.
func (s *shortLevel) step(power float64) float64 {
	s.power[s.steps%levelSteps] = power
	s.steps++
	n := min(s.steps, levelSteps)
	return max(silentDB, decibel(floats.Sum(s.power[:n])/float64(n)))
}

// A meter follows the level of one band.
type meter struct {
	shortLevel
	past   [levelSteps + backSteps]float64 // levels of the last steps
	level  float64                         // dB
	floor  float64                         // dB, what the background comes to
	peak   float64                         // dB, highest since the pluck began
	rested float64                         // dB, highest since its attack was over
	crest  float64                         // dB, to which the background was seen to rise lately
}

// step takes in the power of a step and tells whether it rises as a pluck does.
func (m *meter) step(power float64, ringing bool) bool {
	m.level = m.shortLevel.step(power)
	m.past[m.steps%len(m.past)] = m.level
	recent, before := m.level, silentDB
	for back := 1; back < min(m.steps, len(m.past)); back++ {
		v := m.past[(m.steps-back)%len(m.past)]
		recent = max(recent, v)
		if back >= levelSteps { // shares no sound with this one
			before = max(before, v)
		}
	}
	// The highest of the last steps: a short drop-out is no floor.
	switch {
	case recent < noRoom:
	case recent < m.floor || m.steps == backSteps:
		m.floor = recent
	default:
		m.floor += min(recent-m.floor, floorRise)
	}
	if back := m.past[max(0, m.steps-levelSteps)%len(m.past)]; !ringing && m.steps > levelSteps {
		m.crest = min(max(back, m.crest-crestFall), m.floor+crestMost)
	}
	m.peak = max(m.peak, m.level)
	m.rested = max(m.rested, m.level)
	return m.steps > warmSteps && m.level > before+beginRise && m.level > max(m.floor+beginOver, m.crest+beginCrest) && m.level > beginLeast
}

// over tells whether the pluck is not heard any more.
func (m *meter) over() bool { return m.level < m.floor+endOver || m.level < m.peak-endDrop }

// A gate finds where plucks begin and end, by the levels of the whole and of what
// lies above 200 and 800 Hz, where hum and rumble hide less.
type gate struct {
	bands   [3]meter
	split   [2]splitter
	at      float64 // s, the end of the last step
	start   float64 // s, where the last pluck began
	ringing bool
	began   bool // with the last step
	told    bool // the pluck that rings has said enough
	idle    int  // steps since the last pluck ended
	lead    float64
}

func newGate(step, rate float64) gate {
	g := gate{lead: (levelSteps + 1) * step, split: [2]splitter{newSplitter(200, rate), newSplitter(800, rate)}}
	for i := range g.bands {
		g.bands[i] = meter{level: silentDB, floor: firstFloor, crest: silentDB}
	}
	return g
}

// step takes in the samples of a step that ends at a time, in s. It returns the
// pluck that has ended or said enough, if one has.
func (g *gate) step(at float64, x []float64) (r ring, done bool) {
	g.at, g.began = at, false
	g.idle++
	rise := g.bands[0].step(floats.Dot(x, x)/float64(len(x)), g.ringing)
	over := g.bands[0].over()
	for i := range g.split {
		m := &g.bands[i+1]
		rise = m.step(g.split[i].power(x), g.ringing) || rise
		over = m.over() && over
	}
	age := at - g.start
	switch {
	case rise && !g.ringing:
		g.begin()
	case rise && age > pluckApart:
		r, done = g.finish()
		g.begin()
		r.to = max(r.from, g.start)
	case rise:
	case g.ringing && over:
		r, done = g.finish()
		g.ringing, g.idle = false, 0
	case g.ringing && !g.told && age > enough && g.steady():
		g.background()
	case g.ringing && !g.told && g.saidEnough():
		r, done = g.finish()
	}
	if g.at-g.start < settles {
		for i := range g.bands {
			g.bands[i].rested = g.bands[i].level
		}
	}
	return r, done
}

func (g *gate) begin() {
	g.ringing, g.began, g.told = true, true, false
	g.start = max(0, g.at-g.lead)
	for i := range g.bands {
		g.bands[i].peak = g.bands[i].level
	}
}

// finish returns the pluck that rings, unless it was returned before.
func (g *gate) finish() (r ring, done bool) {
	done = !g.told
	g.told = true
	return ring{g.start, g.at}, done
}

// steady tells whether nothing has died away, as every pluck does.
func (g *gate) steady() bool {
	for i := range g.bands {
		if g.bands[i].level < g.bands[i].rested-mustDecay {
			return false
		}
	}
	return true
}

// background takes what has been ringing without decay for what is always there.
func (g *gate) background() {
	g.ringing, g.idle = false, 0
	for i := range g.bands {
		g.bands[i].floor, g.bands[i].crest = g.bands[i].level, g.bands[i].level
	}
}

// saidEnough tells whether listening on could hardly make a reading better. What a
// decaying sinusoid tells of its frequency is as ∫(t-t̄)²e^(-2αt)dt, the Fisher
// information; over its first 26 dB (2αt = 6) that comes to 0.91 of the whole.
func (g *gate) saidEnough() bool {
	age := g.at - g.start
	return age > enough || age > enoughLeast && g.bands[0].level < g.bands[0].rested-enoughDrop
}

// quiet tells whether nothing but the background is heard, and was for as long as
// a window lasts.
func (g *gate) quiet() bool {
	if g.ringing || g.idle < quietSteps {
		return false
	}
	for i := range g.bands {
		if g.bands[i].level > g.bands[i].floor+2*endOver {
			return false
		}
	}
	return true
}

// A splitter is two one-pole high-passes in a row.
type splitter struct {
	k    float64
	mean [2]float64
}

func newSplitter(hz, rate float64) splitter {
	return splitter{k: -math.Expm1(-2 * math.Pi * hz / rate)}
}

// power is the mean square of what passes.
func (s *splitter) power(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		for i := range s.mean {
			s.mean[i] += s.k * (v - s.mean[i])
			v -= s.mean[i]
		}
		sum += v * v
	}
	for i, v := range s.mean {
		if math.Abs(v) < nearZero {
			s.mean[i] = 0
		}
	}
	return sum / float64(len(x))
}
