package detect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// solve iterates to the maximum of the likelihood over the present window:
// Gauss–Newton steps, each taken only as far as the likelihood grows, until one is less
// than done standard uncertainties.
func (f *fit) solve(done float64) {
	f.stride = 1
	f.cov.SetSym(0, 0, f.cov.At(0, 0)*4)
	f.cov.SetSym(1, 1, f.cov.At(1, 1)*4)
	rounds := 0
	f.setPlaces()
	f.residual(true)
	for range maxIter {
		more := f.admit()
		if more {
			f.setPlaces()
			f.residual(true)
		}
		if d := f.advance(); !more && f.settled(d, done) {
			if rounds++; rounds > 6 || !f.reweigh() {
				break
			}
			f.setPlaces()
			f.renewed()
		}
	}
	if !f.clean {
		f.residual(true)
	}
}

// admit takes in the lines whose place is known well enough that their phase
// over the window is not in doubt by more than a fraction of a turn, and tells
// whether any are new.
func (f *fit) admit() bool {
	more := false
	in := len(f.used())
	for _, l := range f.lines {
		if l.used || l.out {
			continue
		}
		l.hz = f.sounding(l.n) + l.off
		rel := f.uncertain(l.n) / l.hz
		long := math.Min(f.secs, 1.5/l.alpha)
		a := f.gl.alpha
		drift := math.Sqrt(f.cov.At(2, 2)) * -math.Expm1(-2*a*long) / (2 * a) / 4
		if l.hz*math.Hypot(rel*long, drift) < 0.3 || in < 2 {
			l.used, l.amp = true, 0
			in++
			more = true
		}
	}
	return more
}

// used lists the partials that are part of the fit.
func (f *fit) used() []*line {
	var in []*line
	for _, l := range f.lines {
		if l.used {
			in = append(in, l)
		}
	}
	return in
}

// tune puts every partial in use where the law and its own offset have it, and
// lists them.
func (f *fit) tune() []*line {
	in := f.used()
	mean := f.fr.meanLeft()
	for _, l := range in {
		l.hz = f.hz(l.n)*(1+mean) + l.off
	}
	return in
}

// setPlaces gives every line its bins.
func (f *fit) setPlaces() {
	if f.frozen {
		return
	}
	in := f.tune()
	f.fr.place(in, f.f0)
	if f.burden.there() {
		f.fr.part(in)
	}
	f.fr.placeStrays(f.strays)
	in = append(in, f.strays...)
	var at []int
	for _, l := range in {
		at = append(at, l.lo, l.hi)
	}
	if !slices.Equal(at, f.fr.places) {
		f.fr.places = at
		f.fr.setSpans(in)
		f.clean, f.fr.seeing = false, false
	}
}

// residual takes every line's model out of the spectrum and returns the negative
// log-likelihood, the noise around each line being what is left there. afresh is as
// in frame.subtractAll.
func (f *fit) residual(afresh bool) float64 {
	f.fr.seeing, f.clean = false, afresh
	in := f.tune()
	all := append(slices.Clone(in), f.strays...)
	f.fr.subtractAll(all, in, afresh)
	fresh := false
	for _, l := range all {
		if l.amp == 0 {
			f.fr.start(l)
			fresh = true
		}
	}
	if fresh {
		f.fr.subtractAll(all, in, true)
	}
	sum := f.doubtful()
	for _, l := range in {
		l.cost = f.cost(l)
		sum += l.cost
	}
	return sum
}

// doubtful is how unlikely the parameters are by themselves, nats.
func (f *fit) doubtful() float64 {
	sum := 0.0
	for _, p := range f.priors() {
		sum += p.off * p.off / (2 * p.spread * p.spread)
	}
	return sum
}

// A state is all that a step changes.
type state struct {
	law
	burden burden
	gl     glide
	pair   coupling
	lines  []line
}

// save keeps the state until it is next called.
func (f *fit) save() *state {
	s := &f.kept
	s.law, s.burden, s.gl, s.lines = f.law, f.burden, f.gl, s.lines[:0]
	if f.pair != nil {
		s.pair = *f.pair
	}
	for _, l := range f.lines {
		s.lines = append(s.lines, *l)
	}
	return s
}

func (f *fit) restore(s *state) {
	f.law, f.burden, f.gl = s.law, s.burden, s.gl
	f.fr.now = f.gl
	if f.pair != nil {
		*f.pair = s.pair
	}
	for i, l := range f.lines {
		*l = s.lines[i]
	}
}

// advance makes one step, halved until the likelihood does not fall, and returns
// its size in standard uncertainties of the shared parameters; 0 where no step
// helps.
func (f *fit) advance() float64 {
	in := f.used()
	if len(in) == 0 {
		return 0
	}
	if !f.fr.seeing || f.age >= stale {
		f.look()
	}
	if f.fr.seeing && f.age > 0 {
		f.followStrays()
	}
	f.age++
	before := f.trial()
	steps := slices.Grow(f.steps[:0], len(in))[:len(in)]
	f.steps = steps
	costs := make([]float64, len(in))
	A := mat.NewSymDense(params, nil)
	rhs := mat.NewVecDense(params, nil)
	for p, q := range f.priors() {
		A.SetSym(p, p, 1/(q.spread*q.spread))
		rhs.SetVec(p, q.off/(q.spread*q.spread))
	}
	a0, a2 := f.decayTrend()
	for i, l := range in {
		costs[i] = l.cost
		steps[i] = f.fr.step(l, a0+a2*l.hz*l.hz, decayPrior)
		info, grad := l.relaxed(f.tau)
		J := f.jacobian(l.n)
		steps[i].sens = J[0]
		addInformation(A, rhs, &J, &info, &grad)
	}
	d, ok := solveScaled(A, rhs, f.cov)
	if !ok {
		return 0
	}
	size, scale := 0.0, 1.0
	for p, most := range [params]float64{0.003, 3e-4, 0.004, 0.5, 0.01, 2, 2, 3e-4, 0.3, 0.3, 0.02, 0.02, 2e-4, 0.01, 5e-5} { // no step beyond what the equations are linear in
		s := math.Abs(d.AtVec(p))
		size = max(size, s/math.Sqrt(f.cov.At(p, p)))
		if s > most {
			scale = min(scale, most/s)
		}
	}
	if f.turns(d) {
		scale = min(scale, turnScale)
	}
	scale = min(scale, 3*f.stride)
	from := f.save()
	for try := range 6 {
		f.take(in, steps, d, scale)
		r := f.trial()
		if r > before {
			// A pair's own parameters may not be linear over so long a step: those are
			// fitted anew, each line's by itself, before the step is given up.
			polished := false
			for i, l := range in {
				if (try == 0 || l.twin.on) && l.cost > costs[i]+0.3 {
					f.polish(l)
					polished = true
				}
			}
			if polished {
				r = f.trial()
			}
		}
		if r < before+0.01 {
			f.stride = scale
			f.moved += size * scale
			return size * scale
		}
		f.restore(from)
		scale /= 3
	}
	if f.fr.seeing && f.age > 1 { // what was seen may be too old
		f.fr.seeing = false
		return f.advance()
	}
	f.residual(true)
	return 0
}

const turnScale = 0.6 // of a step that goes back where the last came from: they overshoot

// turns tells whether d goes back where the last step came from, and keeps d for
// the last.
func (f *fit) turns(d *mat.VecDense) bool {
	var turn, now, then float64
	for p := range params {
		v, a, b := f.cov.At(p, p), d.AtVec(p), f.last[p]
		turn, now, then = turn+a*b/v, now+a*a/v, then+b*b/v
		f.last[p] = a
	}
	return turn < -0.7*math.Sqrt(now*then)
}

// take moves every parameter by scale times its step.
func (f *fit) take(in []*line, steps []localStep, d *mat.VecDense, scale float64) {
	f.clean = false
	at := func(p int) float64 { return scale * d.AtVec(p) }
	var from, via coupling
	if f.pair != nil {
		from, via = f.recouple(at(0), at(7), at(8), at(9), at(10))
	} else {
		f.f0 *= math.Exp(at(0))
	}
	for i, l := range in {
		hz := 0.0
		for p, j := range steps[i].sens {
			hz += j * d.AtVec(p)
		}
		move := [shared]float64{hz, d.AtVec(2), d.AtVec(3), d.AtVec(4), d.AtVec(5), d.AtVec(6), d.AtVec(7), d.AtVec(8), d.AtVec(9), d.AtVec(10)}
		off := l.offset(f.tau, move) - l.off
		move[0] += off
		if l.pair != nil {
			l.moveTogether(steps[i].after(move), scale, 0.01, &from, &via, f.pair)
		} else {
			l.move(steps[i].after(move), scale, 0.01)
		}
		l.off += scale * off
	}
	f.b = max(f.b+at(1), 0)
	if f.burden.there() {
		f.burden.move(at(burdenRatio), at(burdenOff2), at(burdenWide), at(burdenTurn))
	}
	f.gl.g += at(2)
	f.gl.alpha = min(max(f.gl.alpha*math.Exp(at(3)), f.slowest), f.fastest)
	f.gl.slope += at(4)
	f.gl.lead.far += at(5)
	f.gl.lead.near += at(6)
	f.fr.now = f.gl
}
