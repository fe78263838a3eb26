package detect

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"
)

// sounds is the positive-frequency half of the transform of a line's modes at bin k.
func sounds(fr *frame, l *line, k int) (sum complex128) {
	for _, m := range l.modes() {
		sum += 0.5 * m.amp * newGeometric(m.exponent(fr.rate), fr.n).sum(fr.tw[k])
	}
	return sum
}

// TestCoupledColumns holds what a coupled line has of its own, and what couples it,
// against the central differences of its spectrum.
func TestCoupledColumns(t *testing.T) {
	fr := blankFrame(4096, 22050)
	fr.now = glide{alpha: 1}
	pair := coupling{split: 0.001, ratio: 0.4, decay: 0.2, late: 0.013}
	l := line{hz: 883.3, alpha: 6, amp: cmplx.Rect(0.4, 1.1), eps: complex(0.1, -0.05), pair: &pair}
	one := l.modes()[0].columns(rowFirst)
	cols := [all]form{one.reAmp, one.imAmp, one.alpha}
	hz := pair.columns(&l, &cols, one.hz, l.modes()[1].columns(rowSecond))
	c0 := int(l.hz / fr.rate * float64(fr.n))
	for _, k := range []int{c0 - 30, c0 - 1, c0, c0 + 1, c0 + 37} {
		value := bin(fr, k, l.modes())
		const at = coupled + common
		for _, p := range []struct {
			name string
			got  complex128
			h    float64
			move func(l *line, c *coupling, h float64)
		}{
			{"real part of the amplitude", value(cols[0]), 1e-3, func(l *line, _ *coupling, h float64) { l.amp += complex(h, 0) }},
			{"imaginary part", value(cols[1]), 1e-3, func(l *line, _ *coupling, h float64) { l.amp += complex(0, h) }},
			{"decay", value(cols[2]), 1e-3, func(l *line, _ *coupling, h float64) { l.alpha += h }},
			{"real part of eps", value(cols[3]), 1e-3, func(l *line, _ *coupling, h float64) { l.eps += complex(h, 0) }},
			{"imaginary part of eps", value(cols[4]), 1e-3, func(l *line, _ *coupling, h float64) { l.eps += complex(0, h) }},
			{"frequency", value(hz), 1e-3, func(l *line, _ *coupling, h float64) { l.hz += h }},
			{"split", value(cols[at]), 1e-6, func(_ *line, c *coupling, h float64) { c.split += h }},
			{"ratio", value(cols[at+1]), 1e-3, func(_ *line, c *coupling, h float64) { c.ratio += h }},
			{"ln of the decays' ratio", value(cols[at+2]), 1e-3, func(_ *line, c *coupling, h float64) { c.decay += h }},
			{"time since the pluck", value(cols[at+3]), 1e-5, func(_ *line, c *coupling, h float64) { c.late += h }},
		} {
			by := func(h float64) complex128 {
				m, c := l, pair
				m.pair = &c
				p.move(&m, &c, h)
				return sounds(fr, &m, k)
			}
			want := (by(p.h) - by(-p.h)) / complex(2*p.h, 0)
			if e := cmplx.Abs(p.got - want); e > 1e-4*cmplx.Abs(want)+1e-9 {
				t.Errorf("bin %d, %s: %v, by differences %v", k, p.name, p.got, want)
			}
		}
	}
}

// TestCouple: made pairs, lines keep what they sound to first order, and where
// their centre is.
func TestCouple(t *testing.T) {
	f := pairFrame(5, coupling{}, 1e-3, 1)
	g := f.clone()
	c := coupling{split: 0.001 * cent, ratio: 0.4}
	g.couple(c)
	for i, l := range g.used() {
		ms := l.modes()
		was := f.used()[i]
		name := fmt.Sprintf("partial %d", l.n)
		near(t, name+": amplitude", cmplx.Abs(ms[0].amp+ms[1].amp-was.amp), 0, 1e-12)
		p := c.ratio / (1 + c.ratio)
		near(t, name+": centre, cents", cents(ms[0].hz*(1-p)+ms[1].hz*p, was.hz), 0, 1e-6)
	}
}

// TestWeaken: pairs made anew with another ratio keep what they sound to first order,
// where their centre is and how far they spread about it.
func TestWeaken(t *testing.T) {
	f := pairFrame(5, coupling{}, 1e-3, 1)
	f.couple(coupling{split: 0.002 * cent, ratio: 1.2, decay: 0.1})
	moments := func(l *line) (sum complex128, centre, spread, decay float64) {
		a, b := l.modes()[0], l.modes()[1]
		p := cmplx.Abs(b.amp) / (cmplx.Abs(a.amp) + cmplx.Abs(b.amp))
		return a.amp + b.amp, a.hz*(1-p) + b.hz*p, math.Sqrt(p*(1-p)) * math.Abs(b.hz-a.hz), a.alpha*(1-p) + b.alpha*p
	}
	type was struct {
		sum                   complex128
		centre, spread, decay float64
	}
	var before []was
	for _, l := range f.used() {
		s, c, d, a := moments(l)
		before = append(before, was{s, c, d, a})
	}
	f.weaken(0.1)
	near(t, "ratio", f.pair.ratio, 0.1, 0)
	for i, l := range f.used() {
		s, c, d, a := moments(l)
		name := fmt.Sprintf("partial %d", l.n)
		near(t, name+": amplitude", cmplx.Abs(s-before[i].sum), 0, 1e-12)
		near(t, name+": centre, cents", cents(c, before[i].centre), 0, 1e-5)
		near(t, name+": spread over what it was", d/before[i].spread, 1, 1e-3)
		near(t, name+": decay", a, before[i].decay, 1e-3)
	}
}

// TestAlign: lines that have nearly one ratio are given it, to be their own again
// when loosened; neither changes what sounds.
func TestAlign(t *testing.T) {
	f := pairFrame(5, coupling{split: cent, ratio: 0.4}, 0.1, 1)
	f.couple(coupling{split: cent, free: true})
	for i, l := range f.lines {
		l.eps = complex(0.4+0.01*float64(i), 0.02)
	}
	var before []complex128
	for _, l := range f.lines {
		before = append(before, l.modes()[1].amp)
	}
	f.converge(1) // so that the lines know how clear they are
	for i, l := range f.lines {
		l.eps = before[i] / l.amp
		before[i] = l.modes()[1].amp
	}
	f.align()
	if f.pair.free || math.Abs(f.pair.ratio-0.4) > 0.2 {
		t.Errorf("aligned to %+v", *f.pair)
	}
	for i, l := range f.lines {
		near(t, "second mode", cmplx.Abs(l.modes()[1].amp-before[i]), 0, 1e-12)
	}
	f.loosen()
	if !f.pair.free || f.pair.ratio != 0 {
		t.Errorf("loosened to %+v", *f.pair)
	}
	for i, l := range f.lines {
		near(t, "second mode, loosened", cmplx.Abs(l.modes()[1].amp-before[i]), 0, 1e-12)
	}
}
