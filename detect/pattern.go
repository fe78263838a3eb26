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

// A place is where a low partial belongs, with the energy that one line explains
// there and that of all else.
type place struct {
	*line
	own, others float64
}

// places lists those at which something is heard.
func (f *fit) places() []place {
	var ps []place
	floor := f.quietest()
	for _, l := range f.lines {
		if l.n > patternTop {
			continue
		}
		if own, others := f.purity(l, floor); own+others > 100*floor {
			ps = append(ps, place{l, own, others})
		}
	}
	return ps
}

// share is what of the energy there is not the one line's.
func (p place) share() float64 { return p.others / (p.own + p.others) }

// pattern tells whether every m-th partial is shared with another string, tuned to
// one of this one's harmonics: those partials are not one line each and those
// between them are (a rank-sum test: Wilcoxon 1945; Mann & Whitney 1947). It
// returns m, or 0. A string that beats or is worn does so in all its partials.
func pattern(ps []place) int {
	ps = slices.SortedFunc(slices.Values(ps), func(a, b place) int { return cmp.Compare(a.share(), b.share()) })
	total := 0.0
	for _, p := range ps {
		total += p.own
	}
	for m := 2; m <= 5; m++ {
		var in, out []float64
		before, power := 0, 0.0 // how often one of the others is more disturbed
		for _, p := range ps {
			if p.n%m == 0 {
				in = append(in, p.share())
				power += p.others
				continue
			}
			out = append(out, p.share())
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

// How far, dB, partials at a node lie under those beside them, in the mean and each,
// from which a second string that is heard there is too faint to matter elsewhere.
const (
	faintDB     = -14.0
	faintEachDB = -9.0
)

// shared tells which partials are another string's too, every m-th, or 0; and whether
// they are at a node of this one's and hardly heard, so that it can do without them.
func (f *fit) shared() (m int, faint bool) {
	places := f.places()
	if m = max(pattern(places), parted(f.departures(places))); m == 0 {
		return 0, false
	}
	power := map[int]float64{}
	for _, p := range places {
		power[p.n] = p.own + p.others
	}
	sum, count := 0.0, 0.0
	for n := m; n <= patternTop; n += m {
		if power[n] == 0 || power[n-1] == 0 || power[n+1] == 0 { // nothing there, or nothing to hold it against
			continue
		}
		over := decibel(power[n]) - decibel(math.Sqrt(power[n-1]*power[n+1]))
		if over > faintEachDB {
			return m, false
		}
		sum, count = sum+over, count+1
	}
	return m, count > 0 && sum < faintDB*count
}

// leaveOut sets every m-th partial aside for good.
func (f *fit) leaveOut(m int) {
	f.lines = slices.DeleteFunc(f.lines, func(l *line) bool {
		if l.n%m == 0 && l.used {
			f.strays = append(f.strays, &line{hz: l.hz, alpha: l.alpha, amp: l.amp, used: true})
		}
		return l.n%m == 0
	})
	f.solve(doneStep)
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
	here := l
	for _, s := range f.straysAt(l.n) {
		e := 0.0
		for _, m := range s.modes() {
			e += f.fr.energy(m, s.lo, s.hi)
		}
		others += e
		if !l.used && e > own {
			here, own = s, e
		}
	}
	if here == l && !l.used {
		return 0, 0
	}
	others -= own
	lo, hi := f.fr.around(here, patternBins)
	ms := here.modes()
	own = f.fr.energy(ms[0], lo, hi)
	for _, m := range ms[1:] {
		others += f.fr.energy(m, lo, hi)
	}
	rest := sumSquares(f.fr.rest[lo:hi]) - 3*floor*float64(hi-lo)
	return own, others + max(0, rest)
}

// straysAt lists the strays beside the place of partial n.
func (f *fit) straysAt(n int) []*line {
	var out []*line
	for _, s := range f.strays {
		if math.Abs(s.hz-f.sounding(n)) <= besidePart*f.f0 {
			out = append(out, s)
		}
	}
	return out
}
