package identify

import (
	"cmp"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Question is which of some strings was measured.
type Question struct {
	// Evidence is what was measured of unit weight, outside diameter and stiffness, by
	// any route; what is not known is all zero. Evidence.Heard adds the stiffness to a
	// unit weight. Its other fields are not used.
	Evidence physics.Evidence
	Kind     traits.Kind // as seen
	Strings  []traits.String
	// None is how likely it is, before anything is measured, that the string is none of
	// these; 0 for one in ten. All strings are equally likely before.
	None float64
}

// An Answer is how likely it is that the string measured is one of those asked for.
type Answer struct {
	Candidates []Candidate // the likeliest first
	None       float64     // how likely it is that it is none of them
	Next       []Test      // what to measure next, the most telling first
}

// A Candidate is a string with its probability.
type Candidate struct {
	String      int // index
	Probability float64
}

// rarest is the probability below which a string is not listed.
const rarest = 1e-4

// usualNone is the None of a question that names none (judgement).
const usualNone = 0.1

// Answer finds how likely each string is. The error is an *InputError.
func (q Question) Answer() (Answer, error) {
	if err := q.check(); err != nil {
		return Answer{}, err
	}
	w := newWitness(q)
	p := w.posterior()
	none := p[len(p)-1]
	a := Answer{None: none}
	for i, pi := range p[:len(p)-1] {
		if pi >= rarest {
			a.Candidates = append(a.Candidates, Candidate{i, pi})
		}
	}
	slices.SortStableFunc(a.Candidates, func(x, y Candidate) int { return cmp.Compare(y.Probability, x.Probability) })
	a.Next = w.next(a)
	return a, nil
}

func (q Question) check() error {
	if !(q.None >= 0 && q.None < 1) {
		return &physics.InputError{What: "probability of none of these", Why: "must lie between 0 and 1"}
	}
	if q.Kind < traits.EitherKind || q.Kind > traits.Wound {
		return &physics.InputError{What: "kind", Why: "is not one of those known"}
	}
	e := q.Evidence
	known := 0
	for _, m := range []struct {
		what     string
		value, u float64
	}{
		{"unit weight", float64(e.UnitWeight.Value), float64(e.UnitWeight.U)},
		{"outside diameter", float64(e.Outside.Value), float64(e.Outside.U)},
		{"bending stiffness", float64(e.Stiffness.Value), float64(e.Stiffness.U)},
	} {
		if m.value == 0 && m.u == 0 {
			continue
		}
		known++
		if !(m.value > 0) || math.IsInf(m.value, 0) || !(m.u >= 0) {
			return &physics.InputError{What: m.what, Why: "must be a number above zero with its uncertainty"}
		}
		if m.u > roughest*m.value {
			return &physics.InputError{What: m.what, Why: "is known to worse than a quarter", Fix: "measure it closer, or leave it out"}
		}
	}
	if known == 0 {
		return &physics.InputError{What: "evidence", Why: "is missing", Fix: "give a unit weight, a diameter or what was heard under a known pull"}
	}
	if !(math.Abs(e.Correlation) <= 1) {
		return &physics.InputError{What: "correlation", Why: "must lie between -1 and 1"}
	}
	for i := range q.Strings {
		if err := q.Strings[i].Check(); err != nil {
			return err
		}
	}
	return nil
}

// roughest is a relative standard uncertainty up to which errors of a logarithm pass
// for normal.
const roughest = 0.25

// sharpest is a relative standard uncertainty that no trait of a string is worth: it
// differs by as much along its length.
const sharpest = 1e-5

// A witness is a question in logarithms.
type witness struct {
	Question
	seen    normal
	strings []normal
	// broad are the densities of what was measured for a string that may be anything, by
	// the kind it is known to be of and the traits looked at.
	broad map[broadKey]float64
}

type broadKey struct {
	kind traits.Kind
	over mask
}

func newWitness(q Question) *witness {
	w := &witness{Question: q, broad: map[broadKey]float64{}}
	e := q.Evidence
	w.seen.know(weight, float64(e.UnitWeight.Value), float64(e.UnitWeight.U))
	w.seen.know(outside, float64(e.Outside.Value), float64(e.Outside.U))
	w.seen.know(stiff, float64(e.Stiffness.Value), float64(e.Stiffness.U))
	if w.seen.mask[weight] && w.seen.mask[stiff] {
		v := e.Correlation * e.UnitWeight.Relative() * e.Stiffness.Relative()
		w.seen.cov[weight][stiff], w.seen.cov[stiff][weight] = v, v
	}
	for i := range q.Strings {
		s := &q.Strings[i]
		var n normal
		n.know(weight, float64(s.UnitWeight.Value), float64(s.UnitWeight.U))
		n.know(outside, float64(s.Outside.Value), float64(s.Outside.U))
		ei := s.Stiff()
		n.know(stiff, float64(ei.Value), float64(ei.U))
		w.strings = append(w.strings, n)
	}
	return w
}

// know takes a trait in, if it is known.
func (n *normal) know(i int, value, u float64) {
	if value == 0 {
		return
	}
	n.mask[i] = true
	n.mean[i] = math.Log(value)
	n.cov[i][i] = sq(u/value) + sq(sharpest)
}

// posterior is the probability of each string, and last that of none.
func (w *witness) posterior() []float64 {
	n := len(w.strings)
	none := cmp.Or(w.None, usualNone)
	if n == 0 {
		return []float64{1}
	}
	logs := make([]float64, n+1)
	for i := range w.strings {
		logs[i] = math.Log((1-none)/float64(n)) + w.likelihood(i)
	}
	logs[n] = math.Log(none) + w.density(w.Kind, w.seen.mask)
	if w.Kind != traits.EitherKind {
		logs[n] -= math.Ln2 // of strings that may be anything, half are
	}
	all := logSum(logs)
	for i := range logs {
		logs[i] = math.Exp(logs[i] - all)
	}
	return logs
}

// hopeless is a logarithm of a likelihood below which a string is not looked at closer.
const hopeless = -50

// likelihood is the logarithm of that of a string. What is not known of it may be what it
// is of any string that is else alike.
func (w *witness) likelihood(i int) float64 {
	s := &w.Strings[i]
	if !s.Kind.Suits(w.Kind) {
		return math.Inf(-1)
	}
	kind := cmp.Or(w.Kind, s.Kind)
	both := w.strings[i].and(w.seen.mask)
	l := w.strings[i].logLikelihood(&w.seen, both)
	switch {
	case both == w.seen.mask:
	case both == w.strings[i].mask: // all that is known of it was measured too
		l += w.density(kind, w.seen.mask) - w.density(kind, both)
	case l > hopeless:
		l = plausible(kind).given(&w.strings[i]).logDensity(&w.seen, w.seen.mask)
	}
	if s.Kind == traits.EitherKind && w.Kind != traits.EitherKind {
		l -= math.Ln2
	}
	return l
}

// density is the logarithm of that of what was measured, for a string that may be
// anything of a kind.
func (w *witness) density(k traits.Kind, over mask) float64 {
	key := broadKey{k, over}
	d, ok := w.broad[key]
	if !ok {
		d = plausible(k).logDensity(&w.seen, over)
		w.broad[key] = d
	}
	return d
}
