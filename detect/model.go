package detect

import (
	"math"
	"math/cmplx"
)

// A wave is a mode ready to be evaluated at many bins: its spectrum at a bin with
// twiddle w is a/(1-zw) + b/(1-z*w), the mirror image at negative frequencies
// included.
type wave struct {
	mode
	z, a, b complex128
	bin     float64 // where its peak lies
	undying bool
}

func (fr *frame) wave(m mode) wave {
	g := newGeometric(m.exponent(fr.rate), fr.n)
	a := 0.5 * m.amp * (1 - g.zN)
	return wave{m, g.z, a, cmplx.Conj(a), m.hz * float64(fr.n) / fr.rate, tiny(complex(1-cmplx.Abs(g.z), 0))}
}

func (v *wave) at(w complex128) complex128 {
	d, e := 1-v.z*w, 1-cmplx.Conj(v.z)*w
	return (v.a*e + v.b*d) * inverse(d*e) // one division for both
}

// energy is what a mode has in bins [lo, hi).
func (fr *frame) energy(m mode, lo, hi int) float64 {
	v := fr.wave(m)
	sum := 0.0
	for k := lo; k < hi; k++ {
		sum += sq(v.at(fr.tw[k]))
	}
	return sum
}

// subtract takes the wave out of dst over bins [lo, hi).
func (fr *frame) subtract(dst []complex128, v *wave, lo, hi int) {
	here := dst[lo:hi]
	if v.undying { // it may lie on a bin
		for k, w := range fr.tw[lo:hi] {
			if tiny(1 - v.z*w) {
				here[k] -= 0.5 * v.amp * complex(float64(fr.n), 0)
				continue
			}
			here[k] -= v.at(w)
		}
		return
	}
	for k, w := range fr.tw[lo:hi] {
		here[k] -= v.at(w)
	}
}

// subtractOwn is subtract of a wave that dies, without its mirror image. It is what the fit
// does most: the complex numbers are written out.
func (fr *frame) subtractOwn(dst []complex128, v *wave, lo, hi int) {
	zr, zi, ar, ai := real(v.z), imag(v.z), real(v.a), imag(v.a)
	here := dst[lo:hi]
	for k, w := range fr.tw[lo:hi] {
		wr, wi := real(w), imag(w)
		dr, di := 1-(zr*wr-zi*wi), -(zr*wi + zi*wr)
		per := 1 / (dr*dr + di*di)
		here[k] -= complex((ar*dr+ai*di)*per, (ai*dr-ar*di)*per)
	}
}

// subtractAll sets rest to the spectrum less all lines, wherever a line has
// bins. Those in gliding follow what glide is left.
// What distant lines leak into a span changes little from one trial of a step to
// the next: it is worked out anew only if afresh.
func (fr *frame) subtractAll(lines, gliding []*line, afresh bool) {
	waves := fr.waves[:0]
	for _, l := range lines {
		ms, count := l.sounds()
		for _, m := range ms[:count] {
			waves = append(waves, fr.wave(m))
		}
	}
	for i := range fr.spans {
		sp := &fr.spans[i]
		copy(fr.rest[sp.lo:sp.hi], fr.spec[sp.lo:sp.hi])
		if afresh {
			sp.leak(waves)
		}
		for j := range waves {
			switch v := &waves[j]; {
			case !sp.near(v.bin):
			case sp.whole(v):
				fr.subtract(fr.rest, v, sp.lo, sp.hi)
			default:
				fr.subtractOwn(fr.rest, v, sp.lo, sp.hi)
			}
		}
		sp.spread(fr.rest, &sp.far)
	}
	fr.waves = waves
	bent := fr.bent(gliding)
	for _, l := range gliding {
		faded, turned := fr.fades(l)
		if bent || faded || turned {
			ms, count := l.sounds()
			for _, m := range ms[:count] {
				fr.subtractBend(m, l.lo, l.hi, bent, faded)
			}
		}
	}
}

// bent tells whether what is left of the glide in the window bends any of the lines so
// that it matters.
func (fr *frame) bent(lines []*line) bool {
	return fr.now != fr.out && fr.bendLeft()*highest(lines) >= straight
}

// fades tells whether it is seen how a line fades in its own time instead of the clock's,
// and by how much the lead turns it.
func (fr *frame) fades(l *line) (faded, turned bool) {
	return l.snr*sq(complex(fr.out.g/4, 0)) > unseen, l.snr*sq(complex(fr.now.turned(l.hz), 0)) > unseen
}

// unseen is the power over the noise of what a glide that was taken out does to how a
// line fades, from which that is seen.
const unseen = 0.01

// straight is by how many turns a line's phase may bend before that is taken out.
const straight = 1e-5

// highest is the highest frequency of the lines, Hz.
func highest(lines []*line) float64 {
	top := 0.0
	for _, l := range lines {
		top = max(top, l.hz)
	}
	return top
}

// subtractBend takes out, to first order, what the glide left in the window bends
// a mode's phase away from its mean, and how the mode fades where the window runs in
// its own time instead of the clock's: one that runs ahead is the louder.
func (fr *frame) subtractBend(m mode, lo, hi int, bent, faded bool) {
	s := m.exponent(fr.rate)
	base := newGeometric(s, fr.n)
	now, out := fr.now.shifted(s, fr), fr.out.shifted(s, fr)
	var turns, fall complex128
	if bent {
		turns = 0.5 * m.amp * complex(0, 2*math.Pi*m.hz)
	}
	if faded {
		fall = 0.5 * m.amp * complex(m.alpha, 0)
	}
	gNow, gOut := complex(fr.now.g/(2*fr.now.alpha), 0), complex(fr.out.g/(2*fr.out.alpha), 0)
	mean := turns * complex(fr.meanLeft()/fr.rate, 0)
	curve := turns * complex((fr.now.slope-fr.out.slope)/(2*fr.rate*fr.rate), 0)
	// It is all sums of 1/(1-q) and its square, q each mode's.
	u, v := 1-base.zN, complex(base.n, 0)*base.zN
	one := (turns*(gNow-gOut)+fall*gOut)*u + mean*(u+v)
	square := -mean * u
	lead := 0.5 * m.amp * complex(0, fr.now.turned(m.hz))
	ofNow, ofOut := (lead-turns*gNow)*(1-now.zN), (turns-fall)*gOut*(1-out.zN)
	here := fr.rest[lo:hi]
	for k, w := range fr.tw[lo:hi] {
		d, dNow, dOut := 1-base.z*w, 1-now.z*w, 1-out.z*w
		// One division for all three inverses.
		p, pNow, pOut := sq(d), sq(dNow), sq(dOut)
		per := 1 / (p * pNow * pOut)
		own, ofN, ofO := per*pNow*pOut, per*p*pOut, per*p*pNow
		e := complex(real(d)*own, -imag(d)*own)
		bend := (one+square*e)*e + ofNow*complex(real(dNow)*ofN, -imag(dNow)*ofN) + ofOut*complex(real(dOut)*ofO, -imag(dOut)*ofO)
		if curve != 0 {
			_, _, E := base.moments(w)
			bend += curve * E
		}
		here[k] -= bend
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
