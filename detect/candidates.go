package detect

import (
	"cmp"
	"math"
	"slices"
)

const (
	lowestF0    = 19.5            // Hz
	lowestTried = lowestF0 * 0.98 // and of a law that is not yet sharp
	highestF0   = 1600.0
	gridCents   = 4.0
)

// trialB spans what strings can have; steps are such that a partial near
// number 12 stays within the matching tolerance of one of them.
var trialB = [...]float64{0, 6e-5, 1.5e-4, 3e-4, 5.5e-4, 1e-3, 2e-3, 4e-3}

// hypotheses proposes laws for a spectrum and returns them judged, best first.
// They come from a coarse search over (f0, B) on the peaks, from the
// autocorrelation's periods, and from simple multiples of the best of both, so
// that every octave gets its hearing.
func (s *spectrum) hypotheses(periods []float64, topHz float64) []hypothesis {
	if len(s.peaks) == 0 {
		return nil
	}
	starts := s.scan(topHz)
	for _, hz := range periods {
		// The period an autocorrelation reads is sharp on a stiff string; judging refines it.
		starts = append(starts, law{hz, 0}, law{hz * 0.9985, 1.5e-4})
	}
	var out []hypothesis
	add := func(l law) {
		if l.f0 >= lowestTried && l.f0 <= highestF0*1.02 {
			if h := s.judge(l, topHz); len(h.matches) > 0 && h.f0 >= lowestTried && h.f0 <= highestF0*1.02 {
				out = append(out, h)
			}
		}
	}
	for i, l := range starts {
		add(l)
		if i < 10 { // the coarse search may have the stiffness wrong
			for _, b := range []float64{0, 1e-4, 3e-4} {
				add(law{l.f0, b})
			}
		}
	}
	out = distinct(out)
	for _, h := range out[:min(len(out), 4)] {
		for _, r := range []float64{2, 3, 4, 1.5, 1. / 2, 1. / 3, 1. / 4, 2. / 3} {
			// Every r-th partial of a stiff string is a string with B·r².
			add(law{h.f0 * r, h.b * r * r})
		}
	}
	return distinct(out)
}

// distinct sorts by evidence and keeps one hypothesis of each fundamental.
func distinct(hs []hypothesis) []hypothesis {
	slices.SortStableFunc(hs, func(a, b hypothesis) int { return cmp.Compare(b.score, a.score) })
	var out []hypothesis
	for _, h := range hs {
		if !slices.ContainsFunc(out, func(o hypothesis) bool { return math.Abs(math.Log(h.f0/o.f0)) < 0.02 }) {
			out = append(out, h)
		}
	}
	return out
}

// scan searches a grid of f0 and B for laws on whose places peaks stand. On a
// logarithmic axis partial n lies a fixed way above f0, so that the search is a
// sum of table look-ups.
func (s *spectrum) scan(topHz float64) []law {
	var all []series
	for _, b := range trialB {
		all = append(all, series{law{1, b}, burden{}})
	}
	var out []law
	for _, c := range s.sweep(topHz, all) {
		out = append(out, c.law)
	}
	return out
}

// A series is that of a string with or without a burden.
type series struct {
	law
	burden
}

// A found is a series with what was found at its places.
type found struct {
	series
	score float64
}

// sweep is the best of the series of given shapes on whose places peaks stand, whatever
// their fundamentals, best first.
func (s *spectrum) sweep(topHz float64, all []series) []found {
	const perOctave = 1200 / gridCents
	bins := int(math.Log2(topHz/lowestF0)*perOctave) + 1
	if bins < 2 {
		return nil
	}
	salience := make([]float64, bins+1)
	for _, p := range s.peaks {
		if p.hz < lowestF0 || p.hz >= topHz {
			continue
		}
		tolCents := 6 + 1731*0.6*s.resHz/p.hz
		c := math.Log2(p.hz/lowestF0) * perOctave
		r := tolCents / gridCents
		for k := max(0, int(math.Ceil(c-r))); k <= min(bins, int(c+r)); k++ {
			d := (float64(k) - c) / r
			salience[k] = max(salience[k], p.weight()*(1-0.3*d*d))
		}
	}
	top := int(math.Log2(min(highestF0, topHz)/lowestF0) * perOctave)
	best := make([]found, top+1)
	var weight [40]float64
	for n := range weight {
		weight[n] = 1 / math.Sqrt(float64(n+1))
	}
	for _, c := range all {
		var ahead []int // grid steps from f0 to partial n
		for n := 1; n <= len(weight); n++ {
			ahead = append(ahead, int(math.Log2(c.partial(c.law, n))*perOctave+0.5))
		}
		for k := range best {
			sum, slots := 0.0, 0.0
			for n, a := range ahead {
				if k+a > bins {
					break
				}
				if k+a < 0 { // a load may take the first partial below the grid
					continue
				}
				w := weight[n]
				sum += w * salience[k+a]
				slots += w
			}
			// Dividing by a root of the places looked at weighs a dense comb's
			// chance hits against a sparse one's few.
			score := sum / math.Sqrt(slots+1)
			if score > best[k].score {
				best[k] = found{series{law{lowestF0 * math.Exp2(float64(k)/perOctave), c.b}, c.burden}, score}
			}
		}
	}
	var peaks []found
	for k := range best {
		around := best[max(0, k-2):min(len(best), k+3)]
		if best[k].score > 0 && !slices.ContainsFunc(around, func(c found) bool { return c.score > best[k].score }) {
			peaks = append(peaks, best[k])
		}
	}
	slices.SortFunc(peaks, func(a, b found) int { return cmp.Compare(b.score, a.score) })
	return peaks[:min(len(peaks), 40)]
}
