package detect

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// add puts sign times the mode's spectrum, its mirror image at negative
// frequencies included, onto dst over bins [lo, hi).
func (fr *frame) add(dst []complex128, m mode, lo, hi int, sign float64) {
	s := m.exponent(fr.rate)
	up, down := newGeometric(s, fr.n), newGeometric(cmplx.Conj(s), fr.n)
	half := complex(sign/2, 0)
	a, b := half*m.amp*(1-up.zN), half*cmplx.Conj(m.amp)*(1-down.zN)
	for k := lo; k < hi; k++ {
		w := fr.tw[k]
		d, e := 1-up.z*w, 1-down.z*w
		if tiny(d) || tiny(e) {
			dst[k] += half * (m.amp*up.sum(w) + cmplx.Conj(m.amp)*down.sum(w))
			continue
		}
		// a/d + b/e with one division.
		dst[k] += (a*e + b*d) * inverse(d*e)
	}
}

// subtractAll sets rest to the spectrum less all lines, wherever a line has
// bins. Those in gliding follow what glide is left.
func (fr *frame) subtractAll(lines, gliding []*line) {
	spans := make([][2]int, 0, len(lines))
	var modes []mode
	for _, l := range lines {
		spans = append(spans, [2]int{l.lo, l.hi})
		modes = append(modes, l.modes()...)
	}
	slices.SortFunc(spans, func(a, b [2]int) int { return cmp.Compare(a[0], b[0]) })
	done := 0
	for _, sp := range spans {
		lo, hi := max(sp[0], done), sp[1]
		if hi <= lo {
			continue
		}
		copy(fr.rest[lo:hi], fr.spec[lo:hi])
		for _, m := range modes {
			fr.add(fr.rest, m, lo, hi, -1)
		}
		done = hi
	}
	if fr.now == fr.out {
		return
	}
	for _, l := range gliding {
		for _, m := range l.modes() {
			fr.subtractBend(m, l.lo, l.hi)
		}
	}
}

// subtractBend takes out, to first order, what the glide left in the window bends
// a mode's phase away from its mean.
func (fr *frame) subtractBend(m mode, lo, hi int) {
	mean := fr.meanLeft()
	s := m.exponent(fr.rate)
	base := newGeometric(s, fr.n)
	now, out := fr.now.shifted(s, fr), fr.out.shifted(s, fr)
	c := 0.5 * m.amp * complex(0, 2*math.Pi*m.hz)
	gNow, gOut := fr.now.g/(2*fr.now.alpha), fr.out.g/(2*fr.out.alpha)
	for k := lo; k < hi; k++ {
		w := fr.tw[k]
		G, D := base.sums(w)
		left := complex(gNow, 0)*(G-now.sum(w)) - complex(gOut, 0)*(G-out.sum(w)) - D*complex(mean/fr.rate, 0)
		fr.rest[k] -= c * left
	}
}

// shifted is the sum for a mode that dies faster by the glide's own decay 2α.
func (gl glide) shifted(s complex128, fr *frame) geometric {
	return newGeometric(s-complex(2*gl.alpha/fr.rate, 0), fr.n)
}

// start sets a line's amplitude by projection, nothing else known.
func (fr *frame) start(l *line) {
	g := newGeometric(l.modes()[0].exponent(fr.rate), fr.n)
	var num complex128
	den := 0.0
	for k := l.lo; k < l.hi; k++ {
		G := g.sum(fr.tw[k])
		num += cmplx.Conj(G) * fr.rest[k]
		den += sq(G)
	}
	if den > 0 {
		l.amp += 2 * num / complex(den, 0)
	}
}
