package detect

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"
)

const extraNats = 10.0 // what a line that was set aside must bring, for its four parameters

// evidence is the logarithm of the probability of the sound under this fit, but
// for a constant (Laplace's approximation: MacKay, Information Theory, Inference
// and Learning Algorithms, 2003, chapter 27). Evidences compare over the same bins
// and the same lines only.
func (f *fit) evidence() float64 {
	f.fr.seeing = false // all is looked at once more
	f.advance()
	e := -f.residual(true)
	for _, l := range f.used() {
		e -= l.occam
		switch {
		case f.pair != nil:
			e -= 2 * math.Log(f.pair.spread())
		case l.twin.on:
			a := crossed * cmplx.Abs(l.amp)
			e -= 2*math.Log(a) + math.Log(decayPrior*l.alpha) + math.Log(twinSpread*l.hz) + sq(l.twin.amp)/(2*a*a)
		}
		if f.tau > 0 {
			w := f.tau * l.hz
			e -= 0.5 * math.Log1p(w*w*l.info[0][0])
		}
	}
	for _, l := range f.strays {
		if l.extra {
			e -= extraNats
		}
	}
	var ch mat.Cholesky
	unit := mat.NewSymDense(params, nil)
	ps := f.priors()
	for i := range params {
		for j := i; j < params; j++ {
			unit.SetSym(i, j, f.cov.At(i, j)/ps[i].spread/ps[j].spread)
		}
	}
	if !ch.Factorize(unit) {
		return math.Inf(-1)
	}
	return e + ch.LogDet()/2
}

// cost is a line's share of the negative log-likelihood.
func (f *fit) cost(l *line) float64 {
	c := float64(l.hi-l.lo) * math.Log(f.fr.left(l)+1e-40)
	if f.tau > 0 {
		d := l.off / (f.tau * l.hz)
		c += d * d / 2
	}
	if l.pair != nil {
		s := l.pair.spread()
		c += sq(l.eps) / (2 * s * s)
	}
	return c
}

// A prior holds one parameter to within a spread of a likely value: off is how
// far that value lies from the present one.
type prior struct{ off, spread float64 }

// priors are weak: they keep what the sound does not tell within what strings do.
func (f *fit) priors() [params]prior {
	ps := [params]prior{
		{0, 1}, // ln f0: none to speak of
		{likelyB - f.b, bSpread},
		{f.hint.g - f.gl.g, f.gHint},
		{math.Log(f.hint.alpha / f.gl.alpha), aSpread},
		{-f.gl.slope, f.slopeSpread()},
		{-f.gl.lead.far, leadSpread}, {-f.gl.lead.near, leadSpread},
		{0, none}, {0, none}, {0, none}, {0, none},
		{0, none}, {0, none}, {0, none}, {0, none},
	}
	if f.burden.there() {
		for i, p := range f.held.priors(f.law, f.burden) {
			ps[lawParams[i]] = p
		}
	}
	if c := f.pair; c != nil {
		ps[common+1], ps[common+2], ps[common+3], ps[common+4] = c.priors(f.late)
	}
	return ps
}

// slopeSpread is the prior standard deviation of the slope: none where there can
// be no slope.
func (f *fit) slopeSpread() float64 {
	if !f.tied {
		return none
	}
	return math.Hypot(sSpread, f.hint.slope)
}

// converge takes steps until they no longer matter.
func (f *fit) converge(most int) { f.chase(math.Inf(1), most) }

// chase is converge, given up where the likelihood will not come near that of
// another fit, whose negative logarithm is nll.
func (f *fit) chase(nll float64, most int) {
	const look, far, reweighs = 4, 30.0, 4
	f.stride, f.last = 1, [params]float64{}
	was, rounds := math.Inf(1), 0
	for i := range most {
		if i%look == look-1 {
			f.nll = f.trial()
			if gap := f.nll - nll; gap > far && was-f.nll < gap/2 {
				return
			}
			was = f.nll
		}
		if f.settled(f.advance(), doneStep) {
			if rounds++; rounds > reweighs || !f.reweigh() {
				break
			}
			f.renewed()
		}
	}
	f.nll = f.residual(true)
}
