package detect

import (
	"math"
	"math/cmplx"
	"slices"
)

const (
	missingReach = 1.5 // times the number of the highest partial heard, up to which others are looked for
	missingSNR   = 14. // power over noise from which one is taken in
	manyPartials = 24  // with which more would cost time and tell little
)

// complete takes in partials that the law foresees below top hertz, and that are heard
// though they fade too fast to have been a peak. It tells whether there are any.
func (f *fit) complete(top float64) bool {
	heard := f.heard()
	if len(heard) >= manyPartials || f.burden.there() { // which parts the bins of its partials in another way
		return false
	}
	highest := 0
	for _, l := range heard {
		highest = max(highest, l.n)
	}
	a0, a2 := f.decayTrend()
	var found []*line
	for n := 1; n <= int(missingReach*float64(highest)+1) && f.hz(n) < top; n++ {
		if slices.ContainsFunc(f.lines, func(l *line) bool { return l.n == n && !(l.out && l.amp == 0) }) {
			continue
		}
		l := &line{n: n, hz: f.sounding(n)}
		l.alpha = min(a0+a2*l.hz*l.hz, 300)
		if f.fr.stands(l, f.f0) {
			found = append(found, l)
		}
	}
	for _, l := range found {
		f.lines = slices.DeleteFunc(f.lines, func(o *line) bool { return o.n == l.n })
	}
	f.lines = append(f.lines, found...)
	return len(found) > 0
}

// stands tells whether a line that is in no model yet stands out of the noise about it.
func (fr *frame) stands(l *line, f0 float64) bool {
	fr.place([]*line{l}, f0)
	if l.hi-l.lo < 8 {
		return false
	}
	g := newGeometric(mode{hz: l.hz, alpha: l.alpha}.exponent(fr.rate), fr.n)
	var s0, s1, t0, t1, num complex128
	var power, den float64
	for k := l.lo; k < l.hi; k++ {
		r, G, x := fr.spec[k], g.sum(fr.tw[k]), complex(l.place(k), 0)
		s0, s1, t0, t1 = s0+r, s1+x*r, t0+G, t1+x*G
		num += cmplx.Conj(G) * r
		power, den = power+sq(r), den+sq(G)
	}
	s00, s11 := l.spread()
	c00, c11 := complex(1/s00, 0), complex(1/s11, 0)
	num -= cmplx.Conj(t0)*s0*c00 + cmplx.Conj(t1)*s1*c11
	power -= sq(s0)/s00 + sq(s1)/s11
	den -= sq(t0)/s00 + sq(t1)/s11
	if !(den > 0) {
		return false
	}
	told := sq(num) / den
	noise := math.Max(power-told, 1e-40) / (float64(l.hi-l.lo) - 3)
	return told > missingSNR*noise
}
