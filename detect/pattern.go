package detect

import (
	"cmp"
	"math"
	"slices"
)

const (
	patternTop  = 20    // partials among which a pattern is looked for
	patternBins = 12    // on each side of a partial, in which it is looked at
	patternZ    = 1.85  // normal deviate of the rank sum from which a pattern is no chance
	patternRate = 2.5   // by how much more the partials of the pattern must be disturbed
	patternPure = 0.02  // and how little the others
	patternDB   = -18.0 // power of what disturbs over the partials', from which it matters
)

// shared tells whether every m-th partial is shared with another string, tuned to
// one of this one's harmonics: those partials are not one line each and those
// between them are (a rank-sum test: Wilcoxon 1945; Mann & Whitney 1947). It
// returns m, or 0. A string that beats or is worn does so in all its partials.
func (f *fit) shared() int {
	type seen struct {
		n        int
		disturbs float64 // energy
		share    float64 // of all at its place
	}
	floor := f.quietest()
	var lines []seen
	total := 0.0
	for _, l := range f.lines {
		if l.n > patternTop {
			continue
		}
		if own, others := f.purity(l, floor); own+others > 100*floor {
			total += own
			lines = append(lines, seen{l.n, others, others / (own + others)})
		}
	}
	slices.SortFunc(lines, func(a, b seen) int { return cmp.Compare(a.share, b.share) })
	for m := 2; m <= 5; m++ {
		var in, out []float64
		before, power := 0, 0.0 // how often one of the others is more disturbed
		for _, l := range lines {
			if l.n%m == 0 {
				in = append(in, l.share)
				power += l.disturbs
				continue
			}
			out = append(out, l.share)
			before += len(in)
		}
		if len(in) < 2 || len(out) < 2 {
			continue
		}
		a, b := float64(len(in)), float64(len(out))
		z := (a*b/2 - float64(before)) / math.Sqrt(a*b*(a+b+1)/12)
		pure, disturbed := out[len(out)/2], in[len(in)/2]
		if z > patternZ && pure < patternPure && disturbed > patternRate*(pure+0.01) && decibel(power/total) > patternDB {
			return m
		}
	}
	return 0
}

// quietest is a low quantile of the noise around the partials, power a bin.
func (f *fit) quietest() float64 {
	var noises []float64
	for _, l := range f.lines {
		if l.noise > 0 {
			noises = append(noises, l.noise)
		}
	}
	if len(noises) == 0 {
		return 0
	}
	slices.Sort(noises)
	return noises[len(noises)/4]
}

// purity is the energy at a partial's place that one line explains, its own or,
// where it was set aside, the stray there, and what others and the rest hold,
// noise of power floor a bin left out.
func (f *fit) purity(l *line, floor float64) (own, others float64) {
	fr := f.fr
	energy := func(lo, hi int, ms ...mode) float64 {
		sum := 0.0
		for _, m := range ms {
			v := fr.wave(m)
			for k := lo; k < hi; k++ {
				sum += sq(v.at(fr.tw[k]))
			}
		}
		return sum
	}
	here := l
	for _, s := range f.strays {
		if math.Abs(s.hz-f.sounding(l.n)) > 0.12*f.f0 {
			continue
		}
		e := energy(s.lo, s.hi, s.modes()...)
		others += e
		if !l.used && e > own {
			here, own = s, e
		}
	}
	if here == l && !l.used {
		return 0, 0
	}
	others -= own
	c := int(here.hz/fr.rate*float64(fr.n) + 0.5)
	lo, hi := max(here.lo, c-patternBins), min(here.hi, c+patternBins+1)
	ms := here.modes()
	own = energy(lo, hi, ms[0])
	others += energy(lo, hi, ms[1:]...)
	rest := -3 * floor * float64(hi-lo)
	for k := lo; k < hi; k++ {
		rest += sq(fr.rest[k])
	}
	return own, others + max(0, rest)
}
