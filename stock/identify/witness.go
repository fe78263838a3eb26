package identify

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/physics"
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
	about  [traits.Wound + 1]*stranger // by kind; nil before it is asked for
}

// A stranger is a string of a kind that may be whatever can be built.
type stranger struct {
	before mixture
	after  mixture // what was measured
	log    float64 // of the density of that
	misfit float64 // of the build that fits it best
	// deaf and deafLog are after and log but for a stiffness heard roughly.
	deaf    mixture
	deafLog float64
	of      [allTraits + 1]*sides // by the traits that they concern; nil before they are asked for
}

// sides are what is known of a stranger before and after something was measured, as far as it
// concerns some traits.
type sides struct{ before, after, deaf marginal }

// stranger is one of that kind.
func (w *witness) stranger(k traits.Kind) *stranger {
	if w.about[k] == nil {
		s := &stranger{before: plausible(k)}
		s.deafLog, s.misfit = s.before.logDensity(&w.seen, w.seen.mask)
		s.deaf = s.before.given(&w.seen, slightest)
		s.after, s.log = w.heard(s.deaf)
		s.log += s.deafLog
		w.about[k] = s
	}
	return w.about[k]
}

// sides are those of some traits.
func (s *stranger) sides(m mask) *sides {
	if s.of[m] == nil {
		s.of[m] = &sides{s.before.marginal(m), s.after.marginal(m), s.deaf.marginal(m)}
	}
	return s.of[m]
}

// given is the logarithm of the density of what was measured, if it is of a string of which
// less is known (by Bayes' theorem, of the density of that string); minus infinity where
// that is below least.
func (s *stranger) given(itself *normal, least float64) float64 {
	of := s.sides(itself.mask)
	log := s.log + of.after.logDensity(itself)
	if log-of.before.partly(itself) < least {
		return math.Inf(-1)
	}
	return log - of.before.logDensity(itself)
}

// roughly is the logarithm of how well a stiffness heard roughly agrees with a string of
// which it is not known.
func (s *stranger) roughly(itself *normal) float64 {
	of := s.sides(itself.mask)
	return s.log + of.after.logDensity(itself) - s.deafLog - of.deaf.logDensity(itself)
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
	return n
}

// slightest is a part of a posterior probability that does not matter.
const slightest = 1e-13

// posterior is the probability of each string, and last that of none; the question as it
// is most likely to be taken, with the stiffness heard or without, and whether anything
// explains what was measured.
func (q Question) posterior() (p []float64, w *witness, explained bool) {
	w = newWitness(q)
	p, explained = w.logs()
	if w.seen.has(stiff) {
		// The stiffness heard may say nothing.
		q.Evidence.Stiffness, q.Evidence.Correlation = physics.Measured[physics.BendingStiffness]{}, 0
		deaf := newWitness(q)
		others, too := deaf.logs()
		explained = explained || too
		heard, unheard := logSum(p)+math.Log(1-astray), logSum(others)+math.Log(astray*junk)
		for i := range p {
			p[i] = logSum([]float64{p[i] + math.Log(1-astray), others[i] + math.Log(astray*junk)})
		}
		if unheard > heard {
			w = deaf
		}
	}
	all := logSum(p)
	for i := range p {
		p[i] = math.Exp(p[i] - all)
	}
	return p, w, explained
}

// logs are the logarithms of each answer's prior probability times its likelihood, and whether
// anything explains what was measured.
func (w *witness) logs() (logs []float64, explained bool) {
	n := len(w.Strings)
	none := cmp.Or(w.None, usualNone)
	unknown := w.stranger(w.Kind)
	logs = make([]float64, n+1)
	logs[n] = math.Log(none) + unknown.log
	if w.Kind != traits.EitherKind {
		logs[n] -= math.Ln2 // of strings that may be anything, half are
	}
	var exact matrix
	errors := factor(&w.seen.cov, &exact, w.seen.mask)
	prior := math.Log((1 - none) / float64(n))
	least := logs[n] + math.Log(slightest) - prior
	// No density of what was measured exceeds the height of its own errors'.
	reach := math.Sqrt(max(0, 2*(math.Log(errors.height())-least)))
	misfit := unknown.misfit
	for i := range w.Strings {
		l, off := w.likelihood(i, least, reach)
		logs[i] = prior + l
		misfit = min(misfit, off)
	}
	return logs, !w.unexplained(misfit)
}

// impossible is the probability below which errors of measurement do not explain what was
// measured (judgement).
const impossible = 1e-6

// unexplained tells whether a misfit is greater than errors of measurement make it.
func (w *witness) unexplained(misfit float64) bool {
	_, n := w.seen.list()
	return n > 0 && distuv.ChiSquared{K: float64(n)}.Survival(misfit) < impossible
}

// pull is by how many standard deviations a trait may be off what stock has of it because
// of the others: more, and none could be built as stock has it.
const pull = 6

// likelihood is the logarithm of that of a string, and how far off what was measured is,
// infinite where not all that was measured is known of it. What is not known of it
// may be what it is of any string that is else alike. It is minus infinity below least,
// where any trait lies beyond reach, in standard deviations.
func (w *witness) likelihood(i int, least, reach float64) (log, misfit float64) {
	s := &w.Strings[i]
	if !s.Kind.Suits(w.Kind) ||
		w.farOff(weight, float64(s.UnitWeight.Value), float64(s.UnitWeight.U), reach+pull) ||
		w.farOff(outside, float64(s.Outside.Value), float64(s.Outside.U), reach+pull) {
		return math.Inf(-1), math.Inf(1)
	}
	itself, kind := w.known(i), cmp.Or(w.Kind, s.Kind)
	if !itself.covers(w.seen.mask) {
		log, misfit = w.stranger(kind).given(&itself, least), math.Inf(1)
	} else if log, misfit = itself.logLikelihood(&w.seen, w.seen.mask); w.Rough.U > 0 {
		if itself.has(stiff) {
			log += math.Log(w.roughly(itself.mean[stiff], itself.cov[stiff][stiff]))
		} else {
			log += w.stranger(kind).roughly(&itself)
		}
	}
	if s.Kind == traits.EitherKind && w.Kind != traits.EitherKind {
		log -= math.Ln2
	}
	return log, misfit
}

// farOff tells whether a trait of a string lies beyond reach of what was measured.
func (w *witness) farOff(trait int, value, u, reach float64) bool {
	if value == 0 || !w.seen.has(trait) {
		return false
	}
	off := (value - w.value[trait]) / max(value, w.value[trait]) // the logarithms differ by no less
	return sq(off) > sq(reach)*(w.seen.cov[trait][trait]+sq(u/value)+sq(sharpest)+w.spread[trait])
}

// woundShare is how likely a string of a kind is wound of which something else may be known.
func (w *witness) woundShare(k traits.Kind, itself *normal) float64 {
	switch k {
	case traits.Plain:
		return 0
	case traits.Wound:
		return 1
	}
	var logs [2]float64
	for i, k := range []traits.Kind{traits.Plain, traits.Wound} {
		l, _ := w.stranger(k).after.logDensity(itself, itself.mask)
		logs[i] = w.stranger(k).log + l
	}
	return math.Exp(logs[1] - logSum(logs[:]))
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
