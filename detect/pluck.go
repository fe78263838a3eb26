package detect

import (
	"fmt"
	"math"
	"slices"
)

const (
	attackSkip   = 0.015 // s left out after the onset
	leastSpan    = 0.1   // s of ringing without which nothing is measured
	longest      = 4.0   // s of sound that are fitted at most
	firstRung    = 0.35  // s of sound that are fitted first
	slopeDB      = 1.0   // dB that a fit with a slope may explain less
	clearDB      = 15.0  // dB that a fit explains of its partials, from which it needs no later start
	mostKept     = 0.75  // and the share of its clear partials that must keep to its law for that
	betterDB     = 3.0   // dB that a later start must explain more,
	betterKept   = 1.3   // or times as many partials as it must keep
	stillDiffers = 4.0   // standard deviations by which a later start must differ from a pitch that moves, to stand still
	mostBeat     = 25.0  // cents that two directions beating may carry the pitch away
	mostLate     = 10.0  // cents that the pitch may still fall after it was seen to move
	mostPluck    = 20.0  // cents that a pluck's pitch may fall after its attack has gone
)

// pluck measures one stretch.
func (l *listener) pluck(s stretch) Pluck {
	p := Pluck{Start: s.start, From: s.start + attackSkip, To: s.end}
	if l.clip.last >= p.From && l.clip.first < p.To {
		// A clipped attack is left out with it, where enough remains.
		if after := l.clip.last + 0.005; after < p.From+0.25 && p.To-after > 2*leastSpan {
			p.From = after
			p.doubt(Clipped, false, "the attack was clipped; what rings after it was measured")
		} else {
			p.doubt(Clipped, true, "the recording is clipped: lower the input level and pluck again")
		}
	}
	if l.damaged(p.From, p.To) {
		p.doubt(Overrun, true, "samples are missing or damaged while the string rings")
	}
	if p.To-p.From < leastSpan {
		p.doubt(TooShort, true, fmt.Sprintf("only %.0f ms of ringing were heard: let the string ring", 1000*max(0, p.To-p.From)))
		return p
	}
	l.measure(&p)
	return p
}

// lateStarts are how long, in s, a string may be given to come to rest from a
// rough attack, tried one after the other while most of the sound is still none
// of its partials.
var lateStarts = [...]float64{0, 0.12, 0.35}

// measure fits a pluck from its start, or later where that explains more.
func (l *listener) measure(p *Pluck) {
	base := *p
	for i, wait := range lateStarts {
		q := base
		q.Doubts = slices.Clone(base.Doubts)
		q.From += wait
		if i > 0 && q.To-q.From < 3*leastSpan {
			break
		}
		fitted := l.measureFrom(&q, p.sloping)
		if i == 0 || q.Trusted && p.stillBy(q) && (!p.Trusted || q.explained > p.explained+betterDB || q.kept > betterKept*p.kept) {
			*p = q
		}
		if !fitted || p.Trusted && p.explained > clearDB && p.kept > mostKept {
			break // what is no string at once does not become one by dying away
		}
	}
}

// stillBy tells whether by a later start, q, the pitch stands still: one that moved at
// first must be seen to.
func (p *Pluck) stillBy(q Pluck) bool {
	if p.sloping {
		return q.slope.U > 0 && math.Abs(q.slope.V-p.slope.V) > stillDiffers*math.Hypot(q.slope.U, p.slope.U)
	}
	return q.GlideCents < p.mayFall()
}

// mayFall is by how many cents the pitch may still fall where a later start is
// tried: after one that was seen to move there is little glide, and no pluck's is so
// deep that it is not over by then.
func (p *Pluck) mayFall() float64 {
	switch {
	case p.doubted(Unsteady) && !p.doubted(TooQuiet):
		return mostLate
	case p.doubted(NotAString):
		return mostPluck
	}
	return mostGlide
}

// measureFrom fits a pluck from p.From on and tells whether it came to that. A
// slope of the pitch is looked for where the glide is odd, or if one is suspected.
func (l *listener) measureFrom(p *Pluck, suspected bool) bool {
	h, ok := l.fundamental(p, int(p.From*l.rate))
	if !ok {
		return false
	}
	l, h = l.thinned(h)
	from := int(p.From * l.rate)
	secs := min(p.To-p.From, longest)
	b := follow(l.x, from, l.rate, secs, h, l.hush)
	f := l.fit(h, b, from, secs, false)
	var slope Value // zero where none was looked for
	if suspected || f.oddGlide() {
		// Is it the glide of a pluck, or the turn of a peg?
		g := l.fit(h, b, from, secs, true)
		slope = g.slope()
		if fg, ff := g.heard(), f.heard(); math.Abs(slope.V) > 3*slope.U && len(fg) > len(ff)*3/4 && g.explained(fg) > f.explained(ff)-slopeDB {
			f = g
		}
	}
	if f.complete(l.top) {
		f.solve(doneStep)
	}
	if p.From == p.Start+attackSkip { // where it was not put off
		f = f.early(p.Start)
		from = f.sound.from
		p.From = float64(from) / l.rate
	}
	f.late = p.From - p.Start
	l.dropHum(f)
	if m, faint := f.shared(); faint {
		f.leaveOut(m)
	}
	var ts []telling
	if l.onHum(f) {
		ts = likeliest([]telling{{f, f.evidence()}, f.told((*fit).pairUp)})
	} else {
		ts = f.tellings()
	}
	f = ts[0].fit
	l.dropHum(f) // where two modes of a line are told, one may be it
	if worst, noise := f.wander(); len(f.seconds()) > 0 && worst < mostBeat*cent && !f.beyondBeats(worst, noise) {
		f.bend = follow(f.alone(), from, l.rate, secs, h, l.hush)
		f.expect(f.slowest, f.fastest)
		f.converge(pairIter)
	}
	p.To = p.From + f.secs
	l.report(p, ts, h)
	p.slope = slope
	return true
}

// fit fits what h explains over secs from sample from on, as newFit and run do.
func (l *listener) fit(h hypothesis, b bend, from int, secs float64, tied bool) *fit {
	f := newFit(h, b, tied)
	f.plans, f.glass, f.weights, f.top = l.plans, l.glass, l.weights, l.top
	f.run(l.x, from, l.rate, secs, firstRung)
	return f
}

// doubt records a reason not to trust p, or a remark on it.
func (p *Pluck) doubt(c Code, fatal bool, say string) {
	p.Doubts = append(p.Doubts, Doubt{Code: c, Say: say, Fatal: fatal})
}

// doubted tells whether a doubt of one kind took the trust from p.
func (p *Pluck) doubted(c Code) bool {
	return slices.ContainsFunc(p.Doubts, func(d Doubt) bool { return d.Code == c && d.Fatal })
}

// damaged tells whether a flaw lies between two times.
func (l *listener) damaged(from, to float64) bool {
	for _, f := range l.opts.Flaws {
		a, b := float64(f.At)/l.raw, float64(f.At+f.Len)/l.raw
		if b >= from && a < to {
			return true
		}
	}
	return false
}

// cent is a small interval as a relative difference.
const cent = math.Ln2 / 1200

// cents is the interval from b up to a.
func cents(a, b float64) float64 { return 1200 * math.Log2(a/b) }
