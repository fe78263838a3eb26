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
		d := f.advance()
		if !more && d < done {
			if rounds++; rounds > 6 || !f.reweigh() {
				break
			}
			f.setPlaces()
			f.residual(true)
		}
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
	f.fr.setSpans(append(in, f.strays...))
}

// residual takes every line's model out of the spectrum and returns the negative
// log-likelihood, the noise around each line being what is left there. afresh is as
// in frame.subtractAll.
func (f *fit) residual(afresh bool) float64 {
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
	sum := 0.0
	for _, l := range in {
		l.cost = f.cost(l)
		sum += l.cost
	}
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

func (f *fit) save() state {
	s := state{law: f.law, burden: f.burden, gl: f.gl}
	if f.pair != nil {
		s.pair = *f.pair
	}
	for _, l := range f.lines {
		s.lines = append(s.lines, *l)
	}
	return s
}

func (f *fit) restore(s state) {
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
	f.fitStrays()
	before := f.residual(true)
	steps := make([]localStep, len(in))
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
		r := f.residual(false)
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
				r = f.residual(false)
			}
		}
		if r < before+0.01 {
			f.stride = scale
			return size * scale
		}
		f.restore(from)
		scale /= 3
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
	at := func(p int) float64 { return scale * d.AtVec(p) }
	var senses [][params]float64
	for _, l := range in {
		senses = append(senses, f.sens(l.n))
	}
	var from, via coupling
	if f.pair != nil {
		from, via = f.recouple(at(0), at(7), at(8), at(9), at(10))
	} else {
		f.f0 *= math.Exp(at(0))
	}
	for i, l := range in {
		hz := 0.0
		for p, j := range senses[i] {
			hz += j * d.AtVec(p)
		}
		move := [shared]float64{hz, d.AtVec(2), d.AtVec(3), d.AtVec(4), d.AtVec(5), d.AtVec(6), d.AtVec(7), d.AtVec(8), d.AtVec(9), d.AtVec(10)}
		off := l.offset(f.tau, move) - l.off
		move[0] += off
		if l.pair != nil {
			l.step(steps[i].after(move), scale, 0.01, &from, &via, f.pair)
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

// fitStrays moves every stray by its own step and drops those that run away.
func (f *fit) fitStrays() {
	binHz := f.fr.rate / float64(f.fr.n)
	f.strays = slices.DeleteFunc(f.strays, func(l *line) bool {
		step := f.fr.step(l, 1, 3)
		if l.info[0][0] <= 0 {
			return true
		}
		shift := l.grad[0] / l.info[0][0]
		shift = min(max(shift, -0.4*binHz), 0.4*binHz)
		l.move(step.after([shared]float64{shift}), 1, 0.001)
		l.off += shift
		l.hz += shift
		return math.Abs(l.off) > 2 || !l.extra && f.splits(l)
	})
}

// splits tells whether a stray is but a part of a partial that fades fast: noise makes
// several peaks of one so broad.
func (f *fit) splits(stray *line) bool {
	for _, l := range f.lines {
		if l.used && math.Abs(stray.hz-l.hz) < l.alpha/math.Pi && stray.alpha > l.alpha/4 {
			return true
		}
	}
	return false
}
