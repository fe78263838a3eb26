package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

const (
	pitchSpan    = 0.16 // s of sound at most that a pitch is looked for in
	pitchPeriods = 8    // likewise, once it is established
	pitchLeast   = 0.03 // s likewise at least
	trimmed      = 0.4  // of a young pluck, left out where its attack hides the period
	halfBelow    = 250  // Hz, a pitch that half the rate suffices for

	youngR  = 0.85 // correlation from which a period is one while the pluck is young
	ringR   = 0.6  // and later
	samePer = 0.03 // relative difference within which two searches agree
	firmAge = 0.3  // s, from when on an established pitch may become firm: it gives way to none above it

	// Steps between searches: once a young pluck's pitch is said; in one that has
	// filled the window without; with an established pitch, half a window.
	saidSteps = 4
	openSteps = 8
	heldSteps = 16

	hushSteps = 80   // between two looks at the background
	hushNew   = 0.3  // the latest look's share in what the background is taken for
	hushMost  = 0.01 // background's share of the power from which only the whole window will do
)

// A pitcher finds the period of what rings. It first looks at all of the pluck
// there is, 5 ms by 5 ms, and says what two searches in a row agree on; once the
// window is full the pitch is established, and kept unless much speaks against it.
type pitcher struct {
	tapes [2]*tape     // at the full rate and at half
	hush  [2][]float64 // of each, what the background's product with itself comes to, by lag
	heard bool         // the background has been heard
	lags  *lags
	onset int64   // first sample of the pluck on the full tape
	steps int     // since the last search or look at the background
	found float64 // Hz, what the last search found
	held  float64 // Hz, established
	firm  bool    // and nothing shorter came near it when the attack was over
	said  float64 // Hz
}

func newPitcher(rate float64) *pitcher {
	p := &pitcher{tapes: [2]*tape{newTape(rate, pitchSpan), newTape(rate/2, pitchSpan)}, lags: newLags(rate)}
	for i, t := range p.tapes {
		p.hush[i] = make([]float64, longestLag(t.rate)+1+interpolated)
	}
	return p
}

// hear takes in a step's samples at the full and at half the rate and says the
// pitch that is heard, Hz, or 0.
func (p *pitcher) hear(full, half []float64, g *gate) float64 {
	p.tapes[0].push(full)
	p.tapes[1].push(half)
	p.steps++
	if g.began {
		p.found, p.held, p.firm, p.said = 0, 0, false, 0
		p.findOnset()
	}
	switch {
	case g.ringing:
		if age := p.age(); p.steps >= p.pause(age) {
			p.steps = 0
			hz, firm := p.search(age)
			p.say(hz, firm, age)
		}
	default:
		p.said = 0
		if (p.steps >= hushSteps || !p.heard) && g.quiet() {
			p.steps = 0
			p.listen()
		}
	}
	return p.said
}

// age is how long the pluck has been ringing, s.
func (p *pitcher) age() float64 { return float64(p.tapes[0].seen-p.onset) / p.tapes[0].rate }

// pause is how many steps to let pass between searches.
func (p *pitcher) pause(age float64) int {
	switch {
	case p.held > 0:
		return heldSteps
	case age > pitchSpan:
		return openSteps
	case age > pitchSpan/2 && p.said > 0:
		return saidSteps
	}
	return 1
}

// findOnset looks for the attack's first sample in the last 30 ms.
func (p *pitcher) findOnset() {
	t := p.tapes[0]
	all, x := t.last(0.1), t.last(0.03)
	before := all[:len(all)-len(x)]
	limit := 0.1 * floats.Norm(x, math.Inf(1))
	if len(before) > 0 {
		limit = max(limit, 1.5*floats.Norm(before, math.Inf(1)))
	}
	at := 0
	for i, v := range x {
		if math.Abs(v) > limit {
			at = i
			break
		}
	}
	p.onset = t.seen - int64(len(x)-at)
}

// listen learns what the background's correlation is.
func (p *pitcher) listen() {
	weight := hushNew
	if !p.heard {
		weight = 1
	}
	for i, t := range p.tapes {
		x := t.last(pitchSpan)
		for lag := range p.hush[i] {
			n := len(x) - lag
			p.hush[i][lag] += weight * (floats.Dot(x[:n], x[lag:])/float64(n) - p.hush[i][lag])
		}
	}
	p.heard = true
}

// search looks for a period as lags.period does.
func (p *pitcher) search(age float64) (hz float64, firm bool) {
	k := 0
	if hz := max(p.held, p.said); hz > 0 && hz < halfBelow {
		k = 1
	}
	t, hush := p.tapes[k], p.hush[k]
	x := t.last(age)
	power := floats.Dot(x, x) / float64(max(1, len(x)))
	if power == 0 {
		return 0, false
	}
	in := lagQuery{rate: t.rate, hush: hush, share: hush[0] / power, held: p.held, firm: p.firm, least: ringR}
	if p.held > 0 && in.share < hushMost {
		x = t.last(max(pitchLeast, pitchPeriods/p.held))
	}
	if age >= pitchSpan {
		return p.lags.period(x, in)
	}
	in.least, in.young = youngR, true
	if hz, firm = p.lags.period(x, in); hz > 0 {
		return hz, firm
	}
	return p.lags.period(x[int(trimmed*float64(len(x))):], in)
}

// say decides what to say of what a search found.
func (p *pitcher) say(hz float64, firm bool, age float64) {
	again := p.found > 0 && math.Abs(hz/p.found-1) < samePer
	p.found, p.said = hz, 0
	switch {
	case hz == 0:
	case p.held == 0 && again:
		p.said = hz
		if age > pitchSpan {
			p.held = hz
		}
	case p.held > 0 && math.Abs(hz/p.held-1) < samePer:
		p.said, p.held = hz, hz
		p.firm = p.firm || firm && age > firmAge
	case p.held > 0 && again:
		p.held, p.firm = 0, false // twice something else: begin anew
	}
}
