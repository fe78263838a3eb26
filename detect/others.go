package detect

import (
	"math"
	"slices"
)

// apartFrom tells whether h explains other peaks than o does, for the most part,
// and so is another string rather than another reading of the same one.
func (h *hypothesis) apartFrom(o hypothesis) bool {
	common := 0
	for _, m := range h.matches {
		if o.matched(m.p) {
			common++
		}
	}
	return float64(common) < 0.4*float64(len(h.matches))
}

// beside is the string that best explains what h leaves over, whatever that is
// worth; without any left, no string.
func (s *spectrum) beside(h hypothesis, topHz float64) hypothesis {
	rest := *s
	rest.peaks = h.strays
	rest.loudest = -300
	for _, p := range rest.peaks {
		rest.loudest = max(rest.loudest, p.db)
	}
	if hs := rest.hypotheses(nil, topHz); len(hs) > 0 {
		return hs[0]
	}
	return hypothesis{law: h.law}
}

const (
	besidePart   = 0.12 // of f0, from a partial's place, within which another line is beside it
	halfSNRdB    = 15.0 // dB over the noise of a peak that tells of half the fundamental,
	oddSNRdB     = 15.0 // and of one that tells of no string: rumble's own peaks stand out by less
	sameNote     = 0.01 // relative, within which two rough fundamentals are one
	fewPartials  = 3    // with which peaks that are amiss, faint as they are, tell as much,
	amissDB      = 50.0 // dB under the loudest at most,
	amissSNRdB   = 25.0 // and over the noise at least
	richPartials = 8    // clear ones that only a string has in its order,
	richNats     = 10.0 // where no other comes near
	halfDB       = 40.0 // dB under the loudest at most,
	lowDB        = 12.0 // and under the partials beside it, of one too low to be measured
)

// otherOctave is the law an octave off that what h takes and leaves does not rule
// out: the lower one where peaks stand half-way between h's partials, the upper
// where none of h's partials is odd. The partials of a second string that is no
// harmonic of half the fundamental tell nothing.
func (s *spectrum) otherOctave(h, second hypothesis, topHz float64) (hypothesis, bool) {
	if r := 2 * second.f0 / h.f0; math.Abs(r-math.Round(r)) > sameNote*r {
		h.strays = slices.DeleteFunc(slices.Clone(h.strays), second.matched)
	}
	even := len(h.matches) > 2 && !slices.ContainsFunc(h.matches, func(m match) bool { return m.n%2 == 1 })
	if even {
		return s.judge(law{2 * h.f0, min(4*h.b, maxB)}, topHz), true
	}
	// A fifth's odd partials lie half-way too, as every third: those do not count.
	fifth := func(n int, _ float64) bool { return n%3 != 0 }
	if low := h.part(2); low.f0 >= lowestTried && s.between(h, low, 2, fifth) {
		return s.judge(low, topHz), true
	}
	// A string too low to be proposed may be taken for one by every second or third of
	// its partials. Those between are as loud, which a faint neighbour's are not; a
	// fourth's and a sixth's lie at thirds too, as every fourth and fifth.
	others := func(n int, _ float64) bool { return n%4 != 0 && n%5 != 0 }
	for _, t := range [...]struct {
		m      int
		counts func(int, float64) bool
	}{{2, fifth}, {3, others}} {
		asLoud := func(n int, db float64) bool { return t.counts(n, db) && db > h.around(n, t.m)-lowDB }
		if low := h.part(t.m); low.f0 < lowestTried && s.between(h, low, t.m, asLoud) {
			return s.judge(low, topHz), true
		}
	}
	return hypothesis{}, false
}

// around is the mean level, dB, of h's partials next to where an m-th of it has its
// n-th; 0 where none is heard.
func (h *hypothesis) around(n, m int) float64 {
	sum, count := 0.0, 0.0
	for _, k := range h.matches {
		if k.n == n/m || k.n == n/m+1 {
			sum, count = sum+k.p.db, count+1
		}
	}
	return sum / max(count, 1)
}

// between tells whether peaks that h leaves stand where low, an m-th of it, has
// partials that h has none of, and count by their number and level.
func (s *spectrum) between(h hypothesis, low law, m int, counts func(n int, db float64) bool) bool {
	found := 0
	for _, p := range h.strays {
		n := low.number(p.hz)
		if n%m != 0 && counts(n, p.db) && math.Abs(p.hz-low.hz(n)) < 0.5*s.resHz+0.0008*p.hz && p.snrDB > halfSNRdB && p.db > s.loudest-halfDB {
			found++
		}
	}
	return found >= 2
}

// octaveOf finds among hs the string whose every m-th partials best has taken for
// its own, where second, the string of those between, is the same one.
func octaveOf(best, second hypothesis, hs []hypothesis) (hypothesis, bool) {
	if second.support < secondNats {
		return hypothesis{}, false
	}
	r := best.f0 / second.f0
	m := math.Round(r)
	if m < 2 || math.Abs(r/m-1) > sameNote {
		return hypothesis{}, false
	}
	// One string's odd and even partials keep to one law; two strings' need not.
	whole := best.part(int(m))
	for _, s := range second.matches {
		if math.Abs(s.p.hz-whole.hz(s.n)) > math.Hypot(0.0008*s.p.hz, 3*s.p.u) {
			return hypothesis{}, false
		}
	}
	for _, h := range hs {
		if math.Abs(h.f0/second.f0-1) < sameNote {
			return h, true
		}
	}
	return hypothesis{}, false
}

// oddOnes counts the peaks, of all within reach, that lie nowhere near the places of
// the law or of another string's; one beside its place may be half of a pair.
// The level is that of the loudest, dB.
func (h *hypothesis) oddOnes(loud []peak, other hypothesis) (odd, all int, level float64) {
	level = -300
	for _, p := range loud {
		if p.hz > h.reach() || p.snrDB < oddSNRdB {
			continue
		}
		all++
		beside := math.Abs(p.hz-h.hz(h.number(p.hz))) < besidePart*h.f0
		if !beside && !other.matched(p) {
			odd++
			level = max(level, p.db)
		}
	}
	return odd, all, level
}

// amiss counts the peaks that stand clear of the noise, faint as they may be beside the
// loudest, and are neither the law's nor another string's nor hum.
func (h *hypothesis) amiss(s *spectrum, other hypothesis) int {
	clear := slices.DeleteFunc(s.loud(amissDB), func(p peak) bool {
		return p.snrDB < amissSNRdB || Mains(p.hz, s.resHz/2, mainsTop)
	})
	odd, _, _ := h.oddOnes(clear, other)
	return odd
}

// foreign tells whether odd of all loud peaks, the loudest of them at level dB, are too
// many or too loud for the string whose own loudest is at own, the spectrum's being at
// loudest: half of them are, and a third where few are the string's or the loudest is not.
func foreign(odd, all int, level, own, loudest float64) bool {
	few := all-odd < 8
	if odd >= 2 && (2*odd >= all || (few || level > own) && 3*odd >= all) {
		return true
	}
	return few && level > loudest+secondDB
}

// matched tells whether h takes a peak for one of its partials.
func (h *hypothesis) matched(p peak) bool {
	return slices.ContainsFunc(h.matches, func(m match) bool { return m.p.hz == p.hz })
}

// rich tells whether h explains so many clear peaks, and so much more than the others
// do, that it is a string with many partials missing: one plucked at one node and heard
// at another.
func (h *hypothesis) rich(others []hypothesis) bool {
	return h.clear() >= richPartials && (len(others) == 0 || h.score > others[0].score+richNats)
}

// high tells whether h has a partial beyond the third, far under the loudest as it may be:
// lower ones may be a tone's that the recording distorts.
func (h *hypothesis) high() bool {
	return slices.ContainsFunc(h.matches, func(m match) bool { return m.n > 3 && m.p.snrDB > oddSNRdB })
}

// clear counts the matched peaks that stand well out of the noise.
func (h *hypothesis) clear() int {
	n := 0
	for _, m := range h.matches {
		if m.p.snrDB > 30 {
			n++
		}
	}
	return n
}

// level is that of the loudest matched peak, dB.
func (h *hypothesis) level() float64 { return h.ownLevel(hypothesis{}) }

// ownLevel is the level of the loudest peak that h matches and o does not, dB.
func (h *hypothesis) ownLevel(o hypothesis) float64 {
	top := -300.0
	for _, m := range h.matches {
		if !o.matched(m.p) {
			top = max(top, m.p.db)
		}
	}
	return top
}
