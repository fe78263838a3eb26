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
		if slices.ContainsFunc(o.matches, func(n match) bool { return n.p.hz == m.p.hz }) {
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

// oddOnes counts the peaks that lie nowhere near the places of the law or of
// another string's; one beside its place may be half of a pair.
// The level is that of the loudest, dB.
func (h *hypothesis) oddOnes(loud []peak, other hypothesis) (odd, all int, level float64) {
	level = -300
	for _, p := range loud {
		beside := math.Abs(p.hz-h.hz(h.number(p.hz))) < 0.12*h.f0
		if !beside && !slices.ContainsFunc(other.matches, func(m match) bool { return m.p.hz == p.hz }) {
			odd++
			level = max(level, p.db)
		}
	}
	return odd, len(loud), level
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
		if !slices.ContainsFunc(o.matches, func(n match) bool { return n.p.hz == m.p.hz }) {
			top = max(top, m.p.db)
		}
	}
	return top
}
