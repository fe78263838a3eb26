package identify

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/physics"
	"pluckweigh/stock/internal/parallel"
	"pluckweigh/stock/traits"
)

// sharpest is a relative standard uncertainty that no trait of a string is worth: it
// differs by as much along its length.
const sharpest = 1e-5

// A witness is a question in logarithms.
type witness struct {
	Question
	value vector // what was measured, as it is
	seen  normal
	// spread is by how much a trait of a copy is off that of the string in stock, squared.
	spread vector
	about  [traits.Wound + 1]func() *stranger // by kind

	prior  float64 // of each string, its logarithm
	least  float64 // logarithm of a likelihood that is still worth anything
	reach  float64 // how far off a trait of a string may be for that, standard deviations
	misfit float64 // of what explains best what was measured, so far
}

func newWitness(q Question) *witness {
	w := &witness{Question: q}
	e := q.Evidence
	w.value = vector{float64(e.UnitWeight.Value), float64(e.Outside.Value), float64(e.Stiffness.Value)}
	for i, u := range []float64{float64(e.UnitWeight.U), float64(e.Outside.U), float64(e.Stiffness.U)} {
		more := 0.0
		if i == stiff {
			more = sq(wear)
		}
		w.seen.know(i, w.value[i], u, more)
	}
	if w.seen.has(weight) && w.seen.has(stiff) {
		v := e.Correlation * e.UnitWeight.Relative() * e.Stiffness.Relative()
		w.seen.cov[weight][stiff], w.seen.cov[stiff][weight] = v, v
	}
	for k := range w.about {
		w.about[k] = sync.OnceValue(func() *stranger { return w.newStranger(traits.Kind(k)) })
	}
	for i, power := range sizePowers {
		w.spread[i] = sq(power / 2 * q.Copies)
	}
	return w
}

// know takes a trait in, if it is known, that has so much more variance.
func (n *normal) know(i int, value, u, more float64) {
	if value == 0 {
		return
	}
	n.mask = n.mask.with(i)
	n.mean[i] = math.Log(value)
	n.cov[i][i] = sq(u/value) + sq(sharpest) + more
}

// known is what is known of a string, as one copy of it has it.
func (w *witness) known(i int) (n normal) {
	s := &w.Strings[i]
	ei := s.Stiff()
	n.know(weight, float64(s.UnitWeight.Value), float64(s.UnitWeight.U), w.spread[weight])
	n.know(outside, float64(s.Outside.Value), float64(s.Outside.U), w.spread[outside])
	n.know(stiff, float64(ei.Value), float64(ei.U), w.spread[stiff])
	n.relate(s)
	return n
}

// relate has in the covariances what is worked out from what else is known of a string: the
// weight of a plain one that goes with d², its stiffness with d⁴.
func (n *normal) relate(s *traits.String) {
	both := func(i, j int, v float64) { n.cov[i][j], n.cov[j][i] = v, v }
	d, w := s.Outside.Relative(), s.UnitWeight.Relative()
	shared := 2 * d * min(d, w/2) // of the weight and the diameter; a weight kept earlier may be by a worse gauge
	if s.OfGauge {
		both(weight, outside, shared)
	}
	if s.Kind != traits.Plain || s.Stiffness.Value != 0 || !s.Cored() {
		return
	}
	switch {
	case s.Core.Size.Value == s.Outside.Value:
		both(outside, stiff, 4*d*d)
		if s.OfGauge {
			both(weight, stiff, 4*shared)
		}
	case s.Outside.Value == 0:
		both(weight, stiff, 2*w*w)
	}
}

// slightest is a part of a posterior probability that does not matter.
const slightest = 1e-13

// posterior is the probability of each string, and last that of none; the question as it
// is most likely to be taken, with the stiffness heard or without, and whether anything
// explains what was measured.
func (q Question) posterior() (p []float64, w *witness, explained bool) {
	n := len(q.Strings)
	views := []*witness{newWitness(q)}
	if views[0].seen.has(stiff) {
		// The stiffness heard may say nothing.
		q.Evidence.Stiffness, q.Evidence.Correlation = physics.Measured[physics.BendingStiffness]{}, 0
		views = append(views, newWitness(q))
	}
	shares := []float64{0}
	if len(views) > 1 {
		shares = []float64{math.Log(1 - astray), math.Log(astray * junk)}
	}
	all := make([]float64, len(views)) // by view
	logs := make([][]float64, len(views))
	for v, w := range views {
		logs[v] = make([]float64, n+1)
		logs[v][n] = w.none()
	}
	var merging sync.Mutex
	parallel.Do(n, func(from, to int) {
		nearest := slices.Repeat([]float64{math.Inf(1)}, len(views))
		for i := from; i < to; i++ { // strings are large: once through them is enough
			for v, w := range views {
				var misfit float64
				logs[v][i], misfit = w.likelihood(i)
				nearest[v] = min(nearest[v], misfit)
			}
		}
		merging.Lock()
		defer merging.Unlock()
		for v, w := range views {
			w.misfit = min(w.misfit, nearest[v])
		}
	})
	p = logs[0]
	for v, w := range views {
		explained = explained || !w.unexplained()
		for i := range logs[v] {
			logs[v][i] += shares[v]
		}
		all[v] = logSum(logs[v])
	}
	w = views[0]
	if len(views) > 1 {
		if all[1] > all[0] {
			w = views[1]
		}
		for i := range p {
			p[i] = logSum([]float64{p[i], logs[1][i]})
		}
	}
	total := logSum(all)
	for i := range p {
		p[i] = math.Exp(p[i] - total)
	}
	return p, w, explained
}

// none is the logarithm of the prior probability of none times its likelihood. It has the
// witness made ready to go through the strings.
func (w *witness) none() float64 {
	none := cmp.Or(w.None, usualNone)
	unknown := w.stranger(w.Kind)
	log := math.Log(none) + unknown.log
	if w.Kind != traits.EitherKind {
		log -= math.Ln2 // of strings that may be anything, half are
	}
	var exact matrix
	errors := factor(&w.seen.cov, &exact, w.seen.mask)
	w.prior = math.Log((1 - none) / float64(len(w.Strings)))
	w.least = log + math.Log(slightest) - w.prior
	// No density of what was measured exceeds the height of its own errors'.
	w.reach = math.Sqrt(max(0, 2*(math.Log(errors.height())-w.least)))
	w.misfit = unknown.misfit
	return log
}

// impossible is the probability below which errors of measurement do not explain what was
// measured (judgement).
const impossible = 1e-6

// unexplained tells whether what explains best what was measured is farther off it than errors
// of measurement are.
func (w *witness) unexplained() bool {
	return unlikely(w.misfit, w.seen.mask)
}

// unlikely tells whether a misfit over some traits is greater than errors make it.
func unlikely(misfit float64, over mask) bool { return byErrors(misfit, over) < impossible }

// byErrors is how likely errors are to make a misfit over some traits as great, 1 of none.
func byErrors(misfit float64, over mask) float64 {
	_, n := over.list()
	if n == 0 {
		return 1
	}
	return distuv.ChiSquared{K: float64(n)}.Survival(misfit)
}

// agrees is how likely errors are to put what was measured as far off a string.
func (w *witness) agrees(i int) float64 {
	itself := w.known(i)
	over := itself.mask & w.seen.mask
	if over == 0 {
		return 1
	}
	_, misfit := itself.logLikelihood(&w.seen, over)
	return byErrors(misfit, over)
}

// pull is by how many standard deviations a trait may be off what stock has of it because
// of the others: more, and none could be built as stock has it.
const pull = 6

// likelihood is the logarithm of a string's prior probability times its likelihood. What is
// not known of it may be what it is of any string that is else alike. It is minus infinity
// where any trait lies beyond reach. misfit is how far off what was measured lies, where all
// of that is known of the string.
func (w *witness) likelihood(i int) (log, misfit float64) {
	s := &w.Strings[i]
	misfit = math.Inf(1)
	if !s.Kind.Suits(w.Kind) ||
		w.farOff(weight, float64(s.UnitWeight.Value), float64(s.UnitWeight.U)) ||
		w.farOff(outside, float64(s.Outside.Value), float64(s.Outside.U)) {
		return math.Inf(-1), misfit
	}
	itself, kind := w.known(i), cmp.Or(w.Kind, s.Kind)
	if itself.covers(w.seen.mask) {
		log, misfit = itself.logLikelihood(&w.seen, w.seen.mask)
		switch {
		case w.Rough.U == 0:
		case itself.has(stiff):
			log += math.Log(w.roughly(itself.mean[stiff], itself.cov[stiff][stiff]))
		default:
			log += w.stranger(kind).roughly(&itself)
		}
	} else {
		log = w.stranger(kind).given(&itself, w.least)
	}
	if s.Kind == traits.EitherKind && w.Kind != traits.EitherKind {
		log -= math.Ln2
	}
	return w.prior + log, misfit
}

// farOff tells whether a trait of a string lies beyond reach of what was measured.
func (w *witness) farOff(trait int, value, u float64) bool {
	if value == 0 || !w.seen.has(trait) {
		return false
	}
	off := (value - w.value[trait]) / max(value, w.value[trait]) // the logarithms differ by no less
	return sq(off) > sq(w.reach+pull)*(w.seen.cov[trait][trait]+sq(u/value)+sq(sharpest)+w.spread[trait])
}

// contradiction is the error of evidence that nothing explains, in stock or not.
func (w *witness) contradiction() error {
	e := w.Evidence
	if w.seen.has(weight) && w.seen.has(outside) {
		if w.Kind == traits.Plain {
			e.Known.Wraps = []int{0}
		}
		if _, err := e.Builds(); err != nil {
			return err
		}
	}
	return &physics.InputError{What: "evidence", Why: "fits no string in stock and none that is usually built",
		Fix: "check the numbers and their units, and that all were measured of the same string"}
}
