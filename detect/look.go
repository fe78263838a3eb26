package detect

import (
	"math"
	"slices"
)

// How long lines are seen by their views.
const (
	stale     = 6   // steps, after which they are looked at anew,
	unsettled = 0.2 // and standard uncertainties of all steps together, after which none is the last
)

// look takes all lines out of the spectrum, moves what is no partial, and takes views of
// the lines, by which they are seen from then on.
func (f *fit) look() {
	in := f.used()
	wide := 0
	for _, l := range in {
		if l.hi-l.lo >= lensLeast {
			wide++
		}
	}
	if 2*wide < len(in) {
		f.fitStrays()
		f.residual(true)
		return
	}
	if !f.clean {
		f.residual(true)
	}
	f.fitStrays()
	f.fr.curved = f.fr.bent(in)
	for _, l := range in {
		l.view = f.view(l)
	}
	f.fr.seeing, f.age, f.moved = true, 0, 0
}

// settled tells whether a step of size d ends the search: one that is less than done, where
// the lines have not moved far since they were looked at.
func (f *fit) settled(d, done float64) bool {
	if d < done && f.fr.seeing && f.age > 1 && f.moved > unsettled {
		f.fr.seeing = false
		return false
	}
	return d < done
}

// trial is residual where what other lines leak may be as it was when the lines were
// looked at: by their views, if there are any.
func (f *fit) trial() float64 {
	if f.fr.seeing {
		return f.glance()
	}
	return f.residual(false)
}

// renewed has the lines' costs and what is left follow what has changed but for a step.
func (f *fit) renewed() {
	if f.fr.seeing {
		f.trial()
	} else {
		f.residual(true)
	}
}

// glance is residual by the lines' views.
func (f *fit) glance() float64 {
	in := f.tune()
	f.fr.curved = f.fr.bent(in)
	nll := f.doubtful()
	for _, l := range in {
		if !f.fr.again(l) {
			f.widen(l)
		}
		l.cost = f.cost(l)
		nll += l.cost
	}
	return nll
}

// seen is the view by which a line is seen, nil where it is by its bins.
func (fr *frame) seen(l *line) *view {
	if fr.seeing && l.view != nil && l.view.sight != nil {
		return l.view
	}
	return nil
}

// again sees a line once more as it has changed, and tells whether its view shows it.
func (fr *frame) again(l *line) bool {
	v := l.view
	if v.sight != nil {
		return v.see(l)
	}
	copy(fr.rest[l.lo:l.hi], v.rest)
	fr.takeOut(l, fr.posture(l), 1)
	return true
}

// takeOut takes out of what is left in a line's bins what it does, times sign, in some
// posture.
func (fr *frame) takeOut(l *line, of posture, sign complex128) {
	now := fr.now
	fr.now = of.now
	for _, m := range of.ms[:of.count] {
		m.amp *= sign
		w := fr.wave(m)
		fr.subtract(fr.rest, &w, l.lo, l.hi)
		if of.bent || of.faded || of.turned {
			fr.subtractBend(m, l.lo, l.hi, of.bent, of.faded)
		}
	}
	fr.now = now
}

// view takes the view of a line, of which rest holds what the models leave.
func (f *fit) view(l *line) *view {
	fr := f.fr
	now := fr.posture(l)
	ln := f.lensFor(l, now.ms[:now.count])
	v := l.view
	if v == nil || ln == nil != (v.sight == nil) || ln != nil && v.lens != ln {
		v = newView(f.sight(ln))
	}
	if v.sight == nil || !v.take(l, now) {
		v.sight = nil
		here := fr.rest[l.lo:l.hi]
		v.rest = append(v.rest[:0], here...)
		fr.takeOut(l, now, -1)
		for k, r := range v.rest {
			v.rest[k], here[k] = here[k], r
		}
	}
	return v
}

// widen sees a line that has moved out of its view through another lens, as it was when that
// was taken; by its bins where there is none that shows it.
func (f *fit) widen(l *line) {
	was, now := l.view.taken, f.fr.posture(l)
	ln := f.lensFor(l, append(was.ms[:was.count:was.count], now.ms[:now.count]...))
	if ln != nil {
		l.view = newView(f.sight(ln))
		if l.view.take(l, was) && l.view.see(l) {
			return
		}
	}
	f.fr.takeOut(l, was, -1)
	l.view = &view{rest: slices.Clone(f.fr.rest[l.lo:l.hi])}
	f.fr.again(l)
}

// lensFor is the lens for a line and such modes of it, nil for none.
func (f *fit) lensFor(l *line, ms []mode) *lens {
	secs, middle := f.fr.secs(), f.fr.middle(l)
	var s, dying [4]complex128
	for i, m := range ms {
		s[i] = m.over(secs, middle)
		dying[i] = s[i] - complex(2*f.fr.now.alpha*secs, 0)
	}
	if f.fr.now.g == 0 {
		return f.glass.of(f.fr.n, l.hi-l.lo, s[:len(ms)], nil)
	}
	return f.glass.of(f.fr.n, l.hi-l.lo, s[:len(ms)], dying[:len(ms)])
}

// middle is that of a line's band, Hz.
func (fr *frame) middle(l *line) float64 {
	return float64(l.lo+l.hi-1) / 2 * fr.rate / float64(fr.n)
}

// sight is what the fit's views through a lens have in common; nil for none.
func (f *fit) sight(ln *lens) *sight {
	if ln == nil {
		return nil
	}
	for _, s := range f.sights {
		if s.lens == ln {
			return s
		}
	}
	s := newSight(ln, f.fr)
	f.sights = append(f.sights, s)
	return s
}

// newView is a view yet to be taken, bare where there is no sight.
func newView(s *sight) *view {
	v := &view{sight: s}
	if s != nil {
		n := 2 * len(s.at)
		b := make([]float64, 3*n)
		v.then, v.was, v.rows = b[:n:n], b[n:2*n:2*n], b[2*n:]
		e := make([]complex128, n)
		v.pulses[0].e, v.pulses[1].e = e[:n/2:n/2], e[n/2:]
	}
	return v
}

// take takes the view of a line that was in some posture when rest was what the models
// left, and tells whether its lens shows it.
func (v *view) take(l *line, was posture) bool {
	v.taken = was
	if middle := v.fr.middle(l); middle != v.middle {
		v.middle = middle
		v.pulses[0].known, v.pulses[1].known = false, false
	}
	if !v.sound(v.was, was) {
		return false
	}
	n := len(v.at)
	here := v.fr.rest[l.lo:l.hi]
	v.show(v.then[:n], v.then[n:], here)
	copy(v.rows, v.then)
	v.out = band{}
	shown := v.band()
	whole := bandOf(here)
	v.out = band{math.Max(whole.power-shown.power, 0), whole.s0 - shown.s0, whole.s1 - shown.s1}
	return true
}
