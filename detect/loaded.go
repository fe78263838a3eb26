package detect

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// A Mass says what is known beforehand of the small mass that a string carries. The
// zero value is fine: one near the middle.
type Mass struct {
	// Off is its distance from the middle as a fraction of the length, with its
	// standard uncertainty; zero U where it is only known to be near the middle.
	Off Value
	// Bare is what was heard of the same string without the mass, nil where it was
	// not. It helps where the loaded string's even partials are not heard.
	Bare *Reading

	moved bool // noted while listening: it did not do to the string what one firm clip does throughout a pluck
}

// A Load is what a string's partials say of the small mass that it carries.
type Load struct {
	Ratio       Value   // of its mass to the string's
	Off         Value   // its distance from the middle as a fraction of the length; what is as likely as not, where it cannot be told from none
	Correlation float64 // correlation of Ratio and the pluck's F0
	Cents       float64 // by how much the first partial lies below the bare string's
}

const (
	leastShift  = 8.0  // cents by which the mass must lower the first partial,
	leastSigmas = 6.0  // and standard deviations by which that must be clear
	mostStarts  = 24   // laws that are judged,
	mostJudged  = 6    // and held against as many of bare strings
	noLoad      = 2e-3 // a rough ratio that is none
	sameRatio   = 0.15 // relative, within which two rough loads are one
	heaviest    = 0.45 // of a mass to the string's: no small one
	drift       = 1.0  // cents, standard deviation by which clipping a mass on may retune a string
	looseOff    = 0.02 // by which the place given may be wrong at a first look
	bareWithin  = 30.0 // cents of the bare string within which the loaded one is looked for
	mostDiffers = 5.0  // cents by which the two may differ
)

// burdens are the rough laws that a string with a mass may have, the first partials
// lowered by steps of some 16 cents, of stiffness as trialB.
func (m Mass) burdens() (all []series) {
	for ratio := 0.006; ratio < 0.36; ratio = 1.03*ratio + 0.009 {
		for _, b := range trialB[:6] {
			all = append(all, series{law{1, b}, burden{ratio: ratio, off2: m.Off.V * m.Off.V}})
		}
	}
	return all
}

// held is within what the string and the mass's place are known.
func (m Mass) held() burdenHeld {
	hd := burdenHeld{off2: m.Off.V * m.Off.V, uOff2: likelyOff2, f0: 1, uLn: 1, b: likelyB, uB: bSpread}
	if m.Off.U > 0 {
		hd.uOff2 = 2*math.Abs(m.Off.V)*m.Off.U + m.Off.U*m.Off.U
	}
	if r := m.Bare; r != nil {
		hd.bare = true
		hd.f0, hd.uLn = r.F0.V, math.Hypot(r.F0.U/r.F0.V, drift*cent)
		if r.BKnown {
			hd.b, hd.uB = r.B.V, math.Hypot(r.B.U, 0.02*r.B.V)
		}
	}
	return hd
}

// loosely is held as a first look must take it, before what was given can be held
// against what is heard.
func (m Mass) loosely() burdenHeld {
	hd := m.held()
	hd.uOff2 = math.Hypot(hd.uOff2, likelyOff2+2*m.Off.V*looseOff)
	hd.uLn = math.Hypot(hd.uLn, bareWithin/2*cent)
	return hd
}

// burdened proposes laws of a string with a mass and returns them judged, best first,
// by how much the evidence for them exceeds that for the best of some bare strings':
// high up a load leaves nothing to judge by, and there those are not judged either.
func (s *spectrum) burdened(m Mass, bare []hypothesis, topHz float64) []hypothesis {
	var out []hypothesis
	starts := s.sweep(topHz, m.burdens())
	starts = starts[:min(len(starts), mostStarts)]
	if r := m.Bare; r != nil {
		starts = nil
		for _, c := range m.burdens() {
			if c.b == 0 {
				starts = append(starts, found{series{law{r.F0.V, r.B.V}, c.burden}, 0})
			}
		}
	}
	for _, c := range starts {
		h := s.judgeBurdened(c.law, c.burden, m.loosely(), topHz)
		if r := m.Bare; r != nil && math.Abs(cents(h.f0, r.F0.V)) > bareWithin {
			continue
		}
		if len(h.matches) > 0 && h.f0 >= lowestF0*0.98 && h.f0 <= highestF0*1.02 && h.burden.ratio > noLoad {
			out = append(out, h)
		}
	}
	best := func(a, b hypothesis) int { return cmp.Compare(b.score, a.score) }
	slices.SortStableFunc(out, best)
	var apart []hypothesis
	for _, h := range out {
		if len(apart) < mostJudged && !slices.ContainsFunc(apart, func(o hypothesis) bool { return h.sameLoad(o) }) {
			apart = append(apart, h)
		}
	}
	for i, h := range apart {
		without := math.Inf(-1)
		for _, b := range bare[:min(len(bare), mostJudged)] {
			without = max(without, s.judge(b.law, h.clearTop(s, topHz)).score)
		}
		if len(bare) > 0 {
			apart[i].score -= without
		}
	}
	slices.SortStableFunc(apart, best)
	return apart
}

// sameLoad tells whether two rough laws are one.
func (h hypothesis) sameLoad(o hypothesis) bool {
	return math.Abs(math.Log(h.f0/o.f0)) < 0.02 && math.Abs(math.Log(h.burden.ratio/o.burden.ratio)) < sameRatio
}

// underLoad is fundamental for a string with a mass, bare being what a bare string
// would have to be.
func (l *listener) underLoad(p *Pluck, s *spectrum, bare []hypothesis) (hypothesis, bool) {
	if len(s.peaks) < 3 {
		p.doubt(TooQuiet, true, "too few partials stand out of the noise: pluck louder or move closer")
		return hypothesis{}, false
	}
	hs := s.burdened(*l.mass, bare, l.top)
	if len(hs) == 0 || hs[0].score < 0 || hs[0].support < leastNats {
		if len(bare) > 0 && bare[0].support >= leastNats {
			p.doubt(NoShift, true, "the partials lie as those of a bare string: is the clip on, and at the middle?")
		} else {
			p.doubt(NotAString, true, "what was heard has no partials in the order of a string with a clip at its middle")
		}
		return hypothesis{}, false
	}
	best := hs[0]
	second := s.beside(best, l.top)
	if second.support < secondNats {
		second = hypothesis{law: best.law} // chance
	} else if second.level()-best.level() > secondDB {
		p.doubt(TwoStrings, true, fmt.Sprintf("two strings ring, near %.4g and %.4g Hz: damp all but the one with the clip", best.hz(1), second.hz(1)))
		return best, false
	}
	var open []hypothesis
	for _, h := range hs[1:] {
		if h.score > best.score-openNats {
			open = append(open, h)
		}
	}
	best, ok := l.settle(p, best, open, "the bare string's fundamental is %.4g or %.4g Hz: name the note expected, or pluck nearer the end")
	if !ok {
		return best, false
	}
	if odd, all, level := best.oddOnes(s.loud(loudDB), second); odd >= 2 && (3*odd >= all || level > s.loudest+secondDB) {
		p.doubt(NotAString, true, fmt.Sprintf("%d of the %d loudest partials are in no order of a string with a clip at its middle: is it there?", odd, all))
		return best, false
	}
	best.held = l.mass.held()
	if l.mass.Off.U > 0 && math.Abs(best.burden.off2-best.held.off2) > mostPull*math.Hypot(best.uOff2, best.held.uOff2) {
		p.doubt(Misplaced, true, misplaced)
		return best, false
	}
	if differs := best.held.differs(best.f0); differs > mostDiffers+2*best.uF0/best.f0/cent {
		p.doubt(Scatter, true, retuned(best.held.f0, best.f0))
		return best, false
	}
	return best, true
}

// AnalyzeLoaded is Analyze for a string that carries a small mass near its middle:
// one take of it tells the ratio of that mass to the string's. Of a pluck, F0 and F1
// are those of the bare string, and Load says what the mass does; the Reading's pools
// the trusted plucks. Errors are as those of Analyze, and for a mass that cannot be.
func AnalyzeLoaded(x []float64, rate float64, m Mass, o Options) (Take, error) {
	if !(m.Off.V >= 0 && m.Off.V < 0.5 && m.Off.U >= 0 && m.Off.U < 0.5) {
		return Take{}, fmt.Errorf("detect: a mass %g ± %g of the length off the middle is not on the string", m.Off.V, m.Off.U)
	}
	if r := m.Bare; r != nil && !(r.F0.V > 0 && r.F0.U >= 0 && r.F0.V < rate && r.B.V >= 0) {
		return Take{}, fmt.Errorf("detect: %g Hz is no bare string's", r.F0.V)
	}
	m.moved = false
	t, err := analyze(x, rate, o, &m)
	if t.Reading == nil {
		return t, err
	}
	if m.moved { // also where a later start of the same pluck does not show it
		t.Reading = nil
		t.Doubts = append(t.Doubts, Doubt{Code: Misfit, Fatal: true,
			Say: "the clip moved, fell off or rattled while the string rang, so that what is steady about it may tell no better: fix it firmly, and take all anew"})
		return t, err
	}
	switch lo, hi := ratios(t.Plucks); {
	case hi > lo*(1+otherClip):
		t.Reading = nil
		t.Doubts = append(t.Doubts, Doubt{Code: Scatter, Fatal: true,
			Say: fmt.Sprintf("the plucks make the clip %.3g to %.3g %% of the string's mass, as of different clips or strings: measure one a take", 100*lo, 100*hi)})
	case hi > lo*(1+movedClip):
		t.Reading.Doubts = append(t.Reading.Doubts, Doubt{Code: Scatter,
			Say: fmt.Sprintf("the plucks make the clip %.4g to %.4g %% of the string's mass: did it move?", 100*lo, 100*hi)})
	}
	return t, err
}

const (
	movedClip = 0.01 // relative, from which plucks that differ are said to
	otherClip = 0.1  // and from which their mean would be nobody's
)

// differs is by how many cents f0 differs from the bare string's, if that was heard.
func (hd burdenHeld) differs(f0 float64) float64 {
	if !hd.bare {
		return 0
	}
	return math.Abs(cents(f0, hd.f0))
}

func retuned(bare, loaded float64) string {
	return fmt.Sprintf("the bare string was heard at %.5g Hz, and under the clip it sounds as one of %.5g Hz: did the tuning change, or is it another string?", bare, loaded)
}

const misplaced = "the partials do not lie as the clip's place, as given, puts them: measure it again, or leave it out"

// ratios is the least and the greatest of the trusted plucks.
func ratios(plucks []Pluck) (lo, hi float64) {
	lo = math.Inf(1)
	for _, p := range plucks {
		if p.Trusted {
			lo, hi = min(lo, p.Load.Ratio.V), max(hi, p.Load.Ratio.V)
		}
	}
	return lo, hi
}
