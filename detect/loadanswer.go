package detect

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	mostNegative = 2.0 // standard deviations by which a square may be negative by chance,
	mostPull     = 4.0 // and by which the sound may contradict the place that was given
)

// shares lists what may be so of the burden by one telling, whether there is a glide
// or none: of ln f0 and of its ratio (in the places of an answer's B), given that no
// square is negative. off2 is the mean square distance from the middle.
func (f *fit) shares(p float64) (as []answer, off2 float64) {
	at := [3]int{0, burdenRatio, burdenOff2}
	v := [3]float64{math.Log(f.f0), f.burden.ratio, f.burden.off2}
	c := f.cov
	g, ug := f.gl.g, math.Sqrt(c.At(2, 2))
	p1 := gliding(g, ug)
	for _, glides := range []bool{true, false} {
		var m [3]float64
		var cov [3][3]float64
		for i := range at {
			m[i] = v[i]
			for j := range at {
				cov[i][j] = c.At(at[i], at[j])
			}
		}
		q := p * p1
		if !glides { // with the glide fixed at none the others move by their covariance with it
			q = p * (1 - p1)
			for i := range at {
				k := c.At(at[i], 2) / (ug * ug)
				m[i] -= k * g
				for j := range at {
					cov[i][j] -= k * c.At(at[j], 2)
				}
			}
		}
		worse := 1.0
		if f.tau == 0 && f.chi2 > 1 { // what scatter is left counts (Birge 1932),
			worse = f.chi2
		}
		// and so does a square that is more negative than chance makes it.
		if z := m[2] / math.Sqrt(worse*cov[2][2]); z < -mostNegative {
			worse *= z * z / (mostNegative * mostNegative)
		}
		for i := range at {
			for j := range at {
				cov[i][j] *= worse
			}
		}
		notNegative(&m, &cov)
		as = append(as, answer{lf: m[0], b: m[1], v00: cov[0][0], v01: cov[0][1], v11: cov[1][1], p: q})
		off2 += q * m[2]
	}
	return as, off2
}

// notNegative cuts a normal distribution at zero of its last dimension and carries
// the others along: mean and covariance of what is left.
func notNegative(m *[3]float64, cov *[3][3]float64) {
	u := math.Sqrt(cov[2][2])
	z := m[2] / u
	up := -z - 1/z      // by which the mean goes up, in u, far below zero (Mills' ratio),
	left := 1 / (z * z) // and what is left of the variance
	if z > -6 {
		up = math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / normalCDF(z)
		left = 1 - up*(up+z)
	}
	var k [3]float64
	for i := range k {
		k[i] = cov[i][2] / cov[2][2]
	}
	for i := range k {
		m[i] += k[i] * up * u
		for j := range k {
			cov[i][j] -= k[i] * k[j] * u * u * (1 - left)
		}
	}
}

// concludeLoad fills in what the string's mass does, and doubts it.
func (p *Pluck) concludeLoad(l *listener, ts []telling) {
	f := ts[0].fit
	var as []answer
	off2, total := 0.0, 0.0
	for _, t := range ts {
		w := math.Exp(t.nats - ts[0].nats)
		a, o := t.shares(w)
		as, off2, total = append(as, a...), off2+o, total+w
	}
	m := average(as)
	u := standard(as, m.b, func(a answer) (float64, float64) { return a.b, a.v11 }, 5*math.Sqrt(m.v11))
	hum, each := l.humPull(f), math.Hypot(p.alien, fitTakes*p.stray)
	if f.even() == 0 && !f.held.bare {
		each = math.Hypot(each, oddTau)
		p.doubt(HalfHeard, false, "no even partials were heard, so that the bare string's pitch is told by the odd ones alone: pluck nearer an end, or hear the bare string too")
	}
	r, _ := f.regress(f.tau)
	u = math.Hypot(math.Hypot(u, f.untold()), math.Hypot(hum[burdenRatio], each*r.leverage))
	off := math.Sqrt(off2 / total)
	if !(u > 0) || math.IsInf(u, 0) || !(off >= 0) || math.IsInf(off, 0) {
		p.doubt(NoShift, true, "what the clip does could not be made out: pluck louder, or move closer")
		return
	}
	p.Load = &Load{
		Ratio:       Value{m.b, u},
		Off:         Value{off, math.Sqrt(f.cov.At(burdenOff2, burdenOff2)) / (2 * max(off, 1e-9))},
		Correlation: min(max(m.v01/(p.F0.U/p.F0.V*u), -1), 1), // what widens either is its own
		Cents:       cents(f.law.hz(1), f.hz(1)),
	}
	if f.held.differs(f.f0) > mostDiffers {
		p.doubt(Scatter, true, retuned(f.held.f0, f.f0))
	}
	if pull := f.held.priors(f.law, f.burden)[3]; l.mass.Off.U > 0 && math.Abs(pull.off) > mostPull*pull.spread {
		p.doubt(Misplaced, true, misplaced)
	}
	switch c := p.Load.Cents; {
	case f.merged():
		l.mass.moved = true
		p.doubt(NotAString, true, "the law that explains the partials best makes one of two of them, as no clip does: fix it firmly, at the middle")
	case c < leastShift:
		p.doubt(NoShift, true, fmt.Sprintf("the clip lowers the first partial by %.0f cents only: is it on, at the middle, and heavy enough?", c))
	case m.b > heaviest:
		p.doubt(NotAString, true, fmt.Sprintf("the partials would be those of a string with %.0f %% of its mass at its middle: no clip is as heavy", 100*m.b))
	case m.b < leastSigmas*u:
		p.doubt(NoShift, true, "what the clip does cannot be told from the noise: clip it on at the middle, pluck nearer an end, and louder")
	}
}

// oddTau is the scatter, relative, that odd partials are credited with where they have
// to tell f0 as well, 0.1 cent: the law's shape then has no check.
const oddTau = 0.1 * cent

// even counts the even partials heard.
func (f *fit) even() int {
	n := 0
	for _, l := range f.heard() {
		if l.n%2 == 0 {
			n++
		}
	}
	return n
}

// merged tells whether the law has two partials that are heard at one place: where its
// odd ones have come down all the way to the even ones below, it is no loaded string's,
// and nothing of the load is told by them.
func (f *fit) merged() bool {
	heard := f.heard()
	for i, l := range heard {
		if i > 0 && l.hz-heard[i-1].hz < 1/f.secs {
			return true
		}
	}
	return false
}

// usualTau is by how much partials of a good string scatter about the law, relative,
// half a cent: f0 from odd partials and from even ones of recorded notes differs by half
// of that in the median.
const usualTau = 0.5 * cent

// untold is the standard uncertainty of the ratio from a scatter that partials may have
// and that too few of them do not show, beyond what the fit counts: over what scatter is
// as likely as not (restricted likelihood: Patterson & Thompson 1971, from memory, and a half-normal
// prior of usualTau). With many more partials than the law has parameters it is next to
// none.
func (f *fit) untold() float64 {
	type at struct{ shift, v, nats, x float64 }
	var all []at
	best := math.Inf(-1)
	for x := 0.003; x < 4; x *= 1.25 { // scatter, in usualTau
		r, ok := f.regress(x * usualTau)
		if !ok {
			return 0
		}
		a := at{r.shift, r.v, r.nats - x*x/2, x}
		best = max(best, a.nats)
		all = append(all, a)
	}
	var mean, square, v, total float64
	for _, a := range all {
		w := a.x * math.Exp(a.nats-best) // evenly in ln x
		mean, square, v, total = mean+w*a.shift, square+w*a.shift*a.shift, v+w*a.v, total+w
	}
	counted, ok := f.regress(f.tau)
	if !ok {
		return 0
	}
	mean /= total
	return math.Sqrt(max(0, v/total+square/total-mean*mean-counted.v))
}

// A regression of the partials' departures on what the law's parameters do.
type regression struct {
	shift, v float64 // of the ratio: how it moves, and its variance
	nats     float64 // restricted log-likelihood
	leverage float64 // by how much the ratio moves where every partial is off by a unit of its own
}

// regress is that for partials of so much scatter, relative.
func (f *fit) regress(tau float64) (r regression, ok bool) {
	const k, ratio = laws, 2
	A, rhs := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	for i, p := range f.held.priors(f.law, f.burden) {
		A.SetSym(i, i, 1/(p.spread*p.spread))
	}
	heard := f.heard()
	js, ws := make([][k]float64, len(heard)), make([]float64, len(heard))
	for i, l := range heard {
		d, u := f.departure(l)
		d, u = d/l.hz, u/l.hz
		js[i], ws[i] = f.burden.sens(f.law, l.n), 1/(u*u+tau*tau)
		r.nats += (math.Log(ws[i]) - ws[i]*d*d) / 2
		for p := range k {
			rhs.SetVec(p, rhs.AtVec(p)+ws[i]*js[i][p]*d)
			for q := p; q < k; q++ {
				A.SetSym(p, q, A.At(p, q)+ws[i]*js[i][p]*js[i][q])
			}
		}
	}
	g := mat.VecDenseCopyOf(rhs)
	inv := mat.NewSymDense(k, nil)
	d, ok := solveScaled(A, rhs, inv)
	if !ok {
		return r, false
	}
	var ch mat.Cholesky
	if !ch.Factorize(inv) {
		return r, false
	}
	r.nats += (mat.Dot(g, d) + ch.LogDet()) / 2
	r.shift, r.v = d.AtVec(ratio), inv.At(ratio, ratio)
	for i, j := range js {
		c := 0.0
		for p := range k {
			c += ws[i] * inv.At(ratio, p) * j[p]
		}
		r.leverage += c * c
	}
	r.leverage = math.Sqrt(r.leverage)
	return r, true
}

// poolLoads combines what trusted plucks say of a load, nil where they say nothing.
func poolLoads(plucks []Pluck) *Load {
	var ratio, off []Value
	m := Load{}
	for _, p := range plucks {
		if p.Load == nil {
			return nil
		}
		ratio, off = append(ratio, p.Load.Ratio), append(off, p.Load.Off)
		m.Correlation += p.Load.Correlation / float64(len(plucks))
		m.Cents += p.Load.Cents / float64(len(plucks))
	}
	m.Ratio, m.Off = mean(ratio), mean(off)
	return &m
}
