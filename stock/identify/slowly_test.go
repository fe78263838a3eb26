package identify

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"pgregory.net/rapid"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// block is the normal density, by gonum, of what may be known of a string twice: trait at[i] in
// a copy of its own, with errors of covariance errors beside what d spreads by.
func block(d *normal, x []float64, at []int, errors *mat.SymDense) float64 {
	cov := mat.NewSymDense(len(at), nil)
	mean := make([]float64, len(at))
	for i := range at {
		mean[i] = d.mean[at[i]]
		for j := range i + 1 {
			cov.SetSym(i, j, d.cov[at[i]][at[j]]+errors.At(i, j))
		}
	}
	var c mat.Cholesky
	if !c.Factorize(cov) {
		panic("no covariance")
	}
	return distmv.NormalLogProb(x, mean, &c)
}

// slowly is the posterior written out, a stiffness heard being right or, three times in a
// thousand, any over ten powers of e.
func slowly(q Question) []float64 {
	logs := slowLogs(q)
	if q.Evidence.Stiffness.Value > 0 {
		q.Evidence.Stiffness, q.Evidence.Correlation = physics.Measured[physics.BendingStiffness]{}, 0
		for i, l := range slowLogs(q) {
			logs[i] = logSum([]float64{logs[i] + math.Log(0.997), l + math.Log(0.003/10)})
		}
	}
	all := logSum(logs)
	for i := range logs {
		logs[i] = math.Exp(logs[i] - all)
	}
	return logs
}

// slowLogs is, of each string, the density of what was measured and of what stock has of it,
// over that of the latter, each one sum over all that can be built.
func slowLogs(q Question) []float64 {
	w := newWitness(q)
	_, n := w.seen.list()
	both := func(m mixture, known normal) float64 {
		var x []float64
		var at []int
		for _, of := range []*normal{&w.seen, &known} {
			for i := range traitCount {
				if of.has(i) {
					x, at = append(x, of.mean[i]), append(at, i)
				}
			}
		}
		errors := mat.NewSymDense(len(at), nil)
		for i := range at {
			for j := range i + 1 {
				switch {
				case i < n:
					errors.SetSym(i, j, w.seen.cov[at[i]][at[j]])
				case j >= n:
					errors.SetSym(i, j, known.cov[at[i]][at[j]])
				}
			}
		}
		var logs []float64
		for _, c := range m {
			logs = append(logs, math.Log(c.weight)+block(&c.normal, x, at, errors))
		}
		return logSum(logs)
	}
	half := func(kind traits.Kind) float64 {
		if kind == traits.EitherKind && q.Kind != traits.EitherKind {
			return -math.Ln2
		}
		return 0
	}
	none := q.None
	if none == 0 {
		none = usualNone
	}
	var logs []float64
	for i, s := range q.Strings {
		kind := max(q.Kind, s.Kind) // one of them, or they are the same
		known := w.known(i)
		l := math.Inf(-1)
		switch {
		case s.Kind != q.Kind && s.Kind != 0 && q.Kind != 0:
		case known.covers(w.seen.mask):
			at, n := w.seen.list()
			var x []float64
			errors := mat.NewSymDense(n, nil)
			for a := range n {
				x = append(x, w.seen.mean[at[a]])
				for b := range a + 1 {
					errors.SetSym(a, b, w.seen.cov[at[a]][at[b]])
				}
			}
			l = block(&known, x, at[:n], errors)
		default:
			seen := w.seen
			l = both(plausible(kind), known)
			w.seen, n = normal{}, 0 // of the string alone
			l -= both(plausible(kind), known)
			w.seen = seen
			_, n = seen.list()
		}
		logs = append(logs, math.Log((1-none)/float64(len(q.Strings)))+l+half(s.Kind))
	}
	return append(logs, math.Log(none)+both(plausible(q.Kind), normal{})+half(traits.EitherKind))
}

// drawQuestion draws one about strings that are hard to tell apart, not all of them known
// by all traits. Rapid brings what fails down to the fewest strings and plainest numbers that
// still do.
func drawQuestion(t *rapid.T) Question {
	some := func(what string) bool { return rapid.Bool().Draw(t, what) }
	// truth is a string of one of some builds, of a size near that of others.
	truth := func() vector {
		m := anyStrings()
		x := m[rapid.SampledFrom([]int{0, 1, 40, 41, 170}).Draw(t, "build")].mean
		size := rapid.Float64Range(-0.05, 0.05).Draw(t, "size")
		for i := range x {
			x[i] += sizePowers[i] * size
		}
		return x
	}
	near := func(log float64) (value, u float64) {
		u = rapid.Float64Range(1e-3, 0.1).Draw(t, "u")
		value = math.Exp(log + u*rapid.Float64Range(-2, 2).Draw(t, "off"))
		return value, u * value
	}
	kind := rapid.SampledFrom([]traits.Kind{traits.EitherKind, traits.Plain, traits.Wound})
	q := Question{Kind: kind.Draw(t, "kind"), Copies: rapid.Float64Range(0, 0.02).Draw(t, "copies"), None: rapid.Float64Range(0.01, 0.9).Draw(t, "none")}
	for range rapid.IntRange(1, 6).Draw(t, "strings") {
		x := truth()
		s := traits.String{Kind: kind.Draw(t, "its kind"), UnitWeight: measured[physics.UnitWeight](near(x[weight]))}
		if some("gauged") {
			s.Outside = measured[physics.Length](near(x[outside]))
		}
		if some("heard") {
			s.Stiffness = measured[physics.BendingStiffness](near(x[stiff]))
		}
		if s.Kind == traits.Plain && s.Outside.Value > 0 && some("weight of gauge") {
			s.OfGauge = true
			s.UnitWeight.U = max(s.UnitWeight.U, 2*s.UnitWeight.Value*physics.UnitWeight(s.Outside.Relative()))
		}
		if s.Outside.Value > 0 && !s.OfGauge && some("not weighed") {
			s.UnitWeight = physics.Measured[physics.UnitWeight]{}
		}
		q.Strings = append(q.Strings, s)
	}
	x := truth()
	if some("weighed") {
		q.Evidence.UnitWeight = measured[physics.UnitWeight](near(x[weight]))
		if some("heard") {
			q.Evidence.Stiffness = measured[physics.BendingStiffness](near(x[stiff]))
			q.Evidence.Correlation = rapid.Float64Range(-0.9, 0.9).Draw(t, "correlation")
		}
	}
	if q.Evidence.UnitWeight.Value == 0 || some("gauged") {
		q.Evidence.Outside = measured[physics.Length](near(x[outside]))
	}
	return q
}

func measured[Q physics.Quantity](value, u float64) physics.Measured[Q] {
	return physics.Stated(Q(value), Q(u))
}
