package detect

import (
	"fmt"
	"math"
)

const (
	leastTurns = 5     // periods of ringing without which nothing is measured
	searchSpan = 0.7   // s of sound in which the fundamental is looked for
	leastNats  = 4.0   // evidence without which nothing is called a string
	openNats   = 4.0   // evidence by which the best fundamental must lead
	aloneDB    = 45.0  // dB under the loudest partial within which another must be heard
	loudDB     = 24.0  // dB under the loudest within which peaks must be the string's
	pairCents  = 12.0  // apart at most are a string's two polarisations
	secondNats = 6.0   // evidence from which what the best leaves over is a string
	alongNats  = 12.0  // and from which it is one, however faint
	secondDB   = -14.0 // dB of its loudest partial against the best's from which it disturbs
)

// fundamental decides which string it is that rings, to a first approximation,
// or records why that cannot be said.
func (l *listener) fundamental(p *Pluck, from int) (hypothesis, bool) {
	n := int(min(p.To-p.From, searchSpan) * l.rate)
	n = min(n, len(l.x)-from)
	x := l.x[from : from+n]
	s := newSpectrum(x, l.rate, l.top, l.hush)
	r := newAutocorrelator(n).correlate(x)
	hs := s.hypotheses(periods(r, l.rate, 0.3, 6), l.top)
	if len(hs) == 0 || len(s.peaks) == 0 {
		p.doubt(TooQuiet, true, "no partials stand out of the noise: pluck louder or move closer")
		return hypothesis{}, false
	}
	if l.mass != nil {
		return l.underLoad(p, s, hs)
	}
	best := hs[0]
	if loud := s.loud(aloneDB); len(loud) == 1 && !best.high() {
		return l.single(p, s, loud[0])
	}
	var open []hypothesis
	for _, h := range hs[1:] {
		if !h.apartFrom(best) && h.score > best.score-openNats {
			open = append(open, h)
		}
	}
	second := s.beside(best, l.top)
	if h, ok := octaveOf(best, second, hs); ok {
		best, second = h, s.beside(h, l.top)
	}
	if second.support > secondNats && second.level()-best.ownLevel(second) > -secondDB && !Mains(second.f0, 0, 2) {
		// The clearer of the two is a faint one that rings along.
		if h := s.judge(second.law, l.top); h.support > leastNats {
			best, second = h, s.beside(h, l.top)
		}
	}
	switch {
	case second.support < secondNats || math.Abs(cents(second.f0, best.f0)) < pairCents:
		second = hypothesis{law: best.law} // chance, or the other halves of pairs that beat
	case second.level()-best.level() > secondDB:
		p.doubt(TwoStrings, true, fmt.Sprintf("two strings ring, near %.4g and %.4g Hz: damp all but one", best.hz(1), second.hz(1)))
		return best, false
	case second.support > alongNats:
		p.doubt(TwoStrings, false, fmt.Sprintf("another string rings along, near %.4g Hz: damp it", second.hz(1)))
	}
	if best.support < leastNats && !best.rich(hs[1:]) {
		p.doubt(NotAString, true, "what was heard has no partials in a string's order")
		return hypothesis{}, false
	}
	odd, all, level := best.oddOnes(s.loud(loudDB), second)
	if foreign(odd, all, level, best.level(), s.loudest) {
		p.doubt(NotAString, true, fmt.Sprintf("%d of the %d loudest partials are in no string's order", odd, all))
		return best, false
	}
	if len(best.matches) <= fewPartials && best.amiss(s, second) >= len(best.matches) {
		p.doubt(NotAString, true, "most of what stands clear of the noise is in no string's order")
		return best, false
	}
	if h, ok := s.otherOctave(best, second, l.top); ok {
		if h.f0 < lowestTried {
			p.doubt(OctaveOpen, true, fmt.Sprintf("the sound may be that of a string at %.4g Hz, too low to be measured", h.f0))
			return best, false
		}
		open = append(open, h)
	}
	best, ok := l.settle(p, best, open, "the fundamental is %.4g or %.4g Hz: name the note expected")
	if !ok {
		return best, false
	}
	if turns := (p.To - p.From) * best.f0; turns < leastTurns {
		p.doubt(TooShort, true, fmt.Sprintf("only %.1f periods were heard: let the string ring", turns))
		return best, false
	}
	return best, true
}

// single deals with a pluck of which one partial alone is heard: it could be any
// of several strings', and only the note expected can tell.
func (l *listener) single(p *Pluck, s *spectrum, only peak) (hypothesis, bool) {
	switch near := l.opts.Near > 0 && math.Abs(cents(only.hz, l.opts.Near)) < 100; {
	case Mains(only.hz, s.resHz/2, mainsTop):
		p.doubt(Hum, true, fmt.Sprintf("all that stands out is a tone at %.4g Hz, as of mains hum: pluck louder or move away from mains leads", only.hz))
	case !near:
		p.doubt(OctaveOpen, true, "only one partial was heard, which several strings could have: name the note expected")
	default:
		p.doubt(OctaveOpen, false, "one partial alone was heard; the note you named decided which")
		return s.judge(law{only.hz, 0}, l.top), true
	}
	return hypothesis{}, false
}

// settle decides between the best hypothesis and those that the sound leaves open
// beside it, or says that it leaves open whether, a format of the best's and the first
// other's fundamental.
func (l *listener) settle(p *Pluck, best hypothesis, open []hypothesis, whether string) (hypothesis, bool) {
	if len(open) == 0 {
		return best, true
	}
	h, ok := l.nearest(append(open, best))
	if !ok {
		p.doubt(OctaveOpen, true, fmt.Sprintf("the sound leaves open whether "+whether, best.f0, open[0].f0))
		return best, false
	}
	p.doubt(OctaveOpen, false, "the sound alone left more than one fundamental open; the note you named decided")
	return h, true
}

// nearest picks the one hypothesis that lies within two semitones of the note
// expected.
func (l *listener) nearest(hs []hypothesis) (hypothesis, bool) {
	var found []hypothesis
	for _, h := range hs {
		if l.opts.Near > 0 && math.Abs(cents(h.hz(1), l.opts.Near)) < 200 {
			found = append(found, h)
		}
	}
	if len(found) != 1 {
		return hypothesis{}, false
	}
	return found[0], true
}
