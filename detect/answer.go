package detect

import (
	"fmt"
	"math"
	"slices"
)

// An answer is what may be so of the string: ln f0, B, their covariance and the
// glide, with its probability.
type answer struct {
	lf, b         float64
	v00, v01, v11 float64
	glide         float64
	p             float64
	kind          kind
}

// A kind of answer: answers of one kind differ by how much, not by what.
type kind struct {
	telling int // its place among the tellings, the likeliest first
	glides  bool
	hides   bool // a second direction of vibration
	paired  bool // the telling knows of one
}

// plain tells whether nothing is hidden.
func (k kind) plain() bool { return !k.hides }

const (
	plainer = 3.0   // times as likely as a plain kind must another be to be said
	onlyOne = 100.0 // times as likely as one direction must two be: several summits of theirs are looked for
)

// answers lists what may be so by one telling: whether there is a glide at all,
// the two weighted by their evidence (Savage–Dickey ratio; a glide is never
// negative), and what a second direction of vibration may hide.
func (f *fit) answers(p float64) (as []answer) {
	move, c := f.still()
	g, ug := f.gl.g+move[2], math.Sqrt(c[2][2])
	p1 := gliding(g, ug)
	lf1, b1 := math.Log(f.f0)+move[0], f.b+move[1]
	with := answer{lf1, b1, c[0][0], c[0][1], c[1][1], max(g, 0), p * p1, kind{glides: true}}.scattered(f)
	// With the glide fixed at none the others move by their covariance with it.
	k0, k1 := c[0][2]/c[2][2], c[1][2]/c[2][2]
	without := answer{lf1 - k0*g, b1 - k1*g, c[0][0] - k0*c[0][2], c[0][1] - k0*c[1][2], c[1][1] - k1*c[1][2], 0, p * (1 - p1), kind{}}.scattered(f)
	if !f.tied && f.gl.g != 0 && p1 <= surelyGlides {
		if s := f.unglided(); !f.lost(s) {
			move, c := s.still()
			without = answer{math.Log(s.f0) + move[0], s.b + move[1], c[0][0], c[0][1], c[1][1], 0, p * (1 - p1), kind{}}.scattered(s)
		}
	}
	may := f.hidden()
	for _, a := range []answer{with, without} {
		for _, s := range may {
			t := a
			t.lf -= s.off[0]
			t.b -= s.off[1]
			if !a.kind.glides { // nor does it make a glide
				t.lf += k0 * s.off[2]
				t.b += k1 * s.off[2]
			}
			t.p *= s.w
			t.kind.hides = s.off != [3]float64{}
			if t.p > 1e-5 {
				as = append(as, t)
			}
		}
	}
	return as
}

// scattered is the answer with what scatter its fit has left counted: all alike where noise
// may explain it (Birge 1932), else by which partials are off, and how much hangs on them.
func (a answer) scattered(f *fit) answer {
	b0, b1 := max(f.chi2, 1), max(f.chi2, 1)
	if f.tau > 0 {
		b0, b1 = f.leverage()
	}
	a.v00, a.v01, a.v11 = a.v00*b0, a.v01*math.Sqrt(b0*b1), a.v11*b1
	return a
}

// surelyGlides is the probability of a glide from which it is not asked what else the
// string would be.
const surelyGlides = 0.99

// gliding is the probability that there is a glide, where the fit has it at g with
// standard uncertainty u.
func gliding(g, u float64) float64 {
	if g <= 0 {
		return 0
	}
	z := g / u
	bayes := 2 * normalCDF(z) * u / gSpread * math.Exp(min(z*z/2, 300))
	return bayes / (1 + bayes)
}

// average is the mean of answers, and their covariance.
func average(as []answer) (m answer) {
	for _, a := range as {
		m.p += a.p
		m.lf, m.b, m.glide = m.lf+a.p*a.lf, m.b+a.p*a.b, m.glide+a.p*a.glide
	}
	m.lf, m.b, m.glide = m.lf/m.p, m.b/m.p, m.glide/m.p
	for _, a := range as {
		df, db, p := a.lf-m.lf, a.b-m.b, a.p/m.p
		m.v00 += p * (a.v00 + df*df)
		m.v01 += p * (a.v01 + df*db)
		m.v11 += p * (a.v11 + db*db)
	}
	return m
}

// coverage is what a normal distribution has within a standard deviation.
const coverage = 0.6827

// standard is the standard uncertainty, sought up to most, of an answer mid: what may be so
// lies within it as often as a normal distribution's values do.
func standard(as []answer, mid float64, of func(answer) (v, variance float64), most float64) float64 {
	in := func(r float64) float64 {
		sum, total := 0.0, 0.0
		for _, a := range as {
			v, u := of(a)
			u = math.Sqrt(u)
			sum += a.p * (normalCDF((mid+r-v)/u) - normalCDF((mid-r-v)/u))
			total += a.p
		}
		return sum / total
	}
	lo, hi := 0.0, most
	for range 30 {
		if r := (lo + hi) / 2; in(r) < coverage {
			lo = r
		} else {
			hi = r
		}
	}
	return hi
}

// mostCorr is the correlation of f0 and B that is stated at most.
const mostCorr = 0.99

// likeliestKind is the mean of those answers that are of the likeliest kind: where
// kinds differ, a mean over all would be none of them.
func likeliestKind(as []answer) answer {
	of := map[kind][]answer{}
	for _, a := range as {
		of[a.kind] = append(of[a.kind], a)
	}
	var best answer
	for _, a := range as {
		if of[a.kind] == nil {
			continue
		}
		m := average(of[a.kind])
		if a.kind.plain() {
			m.p *= plainer
		}
		if !a.kind.paired {
			m.p *= onlyOne
		}
		if m.p > best.p {
			best = m
		}
		delete(of, a.kind)
	}
	return best
}

// conclude fills in f0, f1, B and the glide by the likeliest kind of answer, their
// uncertainties by all.
func (p *Pluck) conclude(ts []telling, heard int) {
	var as []answer
	for i, t := range ts {
		for _, a := range t.answers(math.Exp(t.nats - ts[0].nats)) {
			a.kind.telling = i
			a.kind.paired = len(t.seconds()) > 0
			as = append(as, a)
		}
	}
	m, c := likeliestKind(as), average(as)
	if open := slices.DeleteFunc(slices.Clone(as), func(a answer) bool { return a.kind.hides }); len(open) > 0 {
		c.v01 = average(open).v01 // what may be hidden widens both, and far off or not at all
	}
	b, f0 := max(m.b, 0), math.Exp(m.lf)
	// By what covers most: where the likely answers lie apart the standard
	// deviation would tell mostly of those that are not likely.
	uF := standard(as, m.lf, func(a answer) (float64, float64) { return a.lf, a.v00 }, math.Abs(c.lf-m.lf)+5*math.Sqrt(c.v00))
	uB := standard(as, m.b, func(a answer) (float64, float64) { return a.b, a.v11 }, math.Abs(c.b-m.b)+5*math.Sqrt(c.v11))
	// What may be so besides widens both, not their covariance.
	cov := min(max(c.v01, -mostCorr*uF*uB), mostCorr*uF*uB)
	uF1 := math.Sqrt(uF*uF + cov/(1+b) + uB*uB/(4*(1+b)*(1+b)))
	p.F0 = Value{f0, f0 * uF}
	p.F1 = Value{f0 * math.Sqrt(1+b), f0 * uF1}
	p.B = Value{b, uB}
	p.BKnown = heard >= leastPartials && p.B.U < bSpread/2
	p.GlideCents, p.mayGlide = m.glide/cent, c.glide
	if p.BKnown && uF*uB > 0 {
		p.Corr = cov / (uF * uB)
	}
	if !p.BKnown {
		say := fmt.Sprintf("only %d partials were heard, too few", heard)
		switch {
		case heard == 0:
			say = "no partial was clear enough"
		case heard == 1:
			say = "only one partial was heard, too few"
		case heard >= leastPartials:
			say = "the partials are too faint"
		}
		p.doubt(NoStiffness, false, say+" to measure inharmonicity; its likely size is in the uncertainty")
	}
}

// lostNats is how much less likely a fit without a glide may be than one whose glide is
// not sure, before it is one that has gone astray.
const lostNats = 30.0

// lost tells whether a fit of the same bins, s, has gone astray.
func (f *fit) lost(s *fit) bool { return s.residual(true) > f.residual(true)+lostNats }

// unglided is the fit of a string that has no glide.
func (f *fit) unglided() *fit {
	s := f.clone()
	spans := s.fr.spans
	s.gl.g, s.hint.g, s.gHint = 0, 0, none
	s.load()
	s.fr.spans = spans
	s.residual(true)
	s.converge(pairIter)
	return s
}
