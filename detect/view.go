package detect

import (
	"math"
	"math/cmplx"
)

// A view is a line seen through a lens, as its band was when the view was taken: a step,
// or what would be left of the sound by other parameters of the line, takes a few rows
// instead of all bins. What others leak into the band stays as it was. Where there is no
// lens for the line the view is bare, and all is done in its bins.
type view struct {
	*sight
	middle float64   // Hz, of the band
	taken  posture   // of the line,
	then   []float64 // and rows of what was left, real parts first as in all of these,
	out    band      // and of what was left what no row shows
	was    []float64 // what the line did at the moments
	rows   []float64 // of what is left now
	pulses [2]pulse
	rest   []complex128 // of a bare view: what the bins hold without the line
}

// A sight is what all views of a fit through one lens have in common.
type sight struct {
	*lens
	fr      *frame
	n, secs float64   // samples and seconds of the window
	t, half []float64 // s, the moments, and t²/2
	fade    []float64 // how far, s, the glide that was taken out ran ahead there, slopes not counted
	now     glide     // that was seen last,
	known   bool      // if any:
	g, lnA  []float64 // how far one of depth 1 runs ahead, and how that moves with ln α,
	dying   []float64 // e^(-2αt),
	bend    []float64 // and how far what is left in the window runs ahead of its mean
}

func newSight(ln *lens, fr *frame) *sight {
	s := &sight{lens: ln, fr: fr, n: float64(fr.n), secs: fr.secs()}
	n := len(ln.at)
	b := make([]float64, 7*n)
	for i, v := range []*[]float64{&s.t, &s.half, &s.fade, &s.g, &s.lnA, &s.dying, &s.bend} {
		*v = b[i*n : (i+1)*n : (i+1)*n]
	}
	for j, a := range ln.at {
		t := a * s.secs
		s.t[j], s.half[j] = t, t*t/2
		ahead, _, _ := unitGlide(fr.out.alpha, t)
		s.fade[j] = fr.out.g * ahead
	}
	return s
}

// update has the sight know a glide.
func (s *sight) update(now glide) {
	out := s.fr.out
	if s.known && s.now == now {
		return
	}
	if !s.known || s.now.alpha != now.alpha {
		for j, t := range s.t {
			s.g[j], s.lnA[j], s.dying[j] = unitGlide(now.alpha, t)
		}
	}
	s.known, s.now = true, now
	mean := (now.ahead(s.secs) - out.ahead(s.secs)) / s.secs
	for j, t := range s.t {
		s.bend[j] = now.g*s.g[j] + (now.slope-out.slope)*s.half[j] - s.fade[j] - mean*t
	}
}

// unitGlide is how far, s, a glide of depth 1 has run ahead at t, how that moves with
// ln α, and what is left of the glide.
func unitGlide(alpha, t float64) (ahead, lnA, left float64) {
	x := 2 * alpha * t
	left = math.Exp(-x)
	ahead = -math.Expm1(-x) / (2 * alpha)
	return ahead, t*left - ahead, left
}

// A pulse is what a mode of unit amplitude does at the moments of a lens.
type pulse struct {
	s     complex128   // its exponent over the window, from the band's middle
	e     []complex128 // what it does, where no glide is left
	known bool
}

// follow takes the pulse to another exponent, from what it was if that is near, and tells
// whether the lens shows it there.
func (p *pulse) follow(ln *lens, s complex128) bool {
	if p.known && s == p.s {
		return true
	}
	if !renders(len(ln.at), ln.part, s, lnLensError) {
		return false
	}
	d := s - p.s
	near := p.known && sq(d) < nearPulse*nearPulse/(ln.part*ln.part)
	p.s, p.known = s, true
	last := len(ln.at) - 1
	half := ln.part / 2
	if !near {
		for j, t := range ln.at {
			p.e[j] = cmplx.Exp(s * complex(t, 0))
		}
		return true
	}
	// The moments lie alike on both sides of the middle one.
	mid := cmplx.Exp(d * complex(half, 0))
	for j, t := range ln.at[:len(ln.at)/2] {
		even, odd := hyperbolic(d * complex(half-t, 0))
		p.e[j] *= mid * (even - odd)
		p.e[last-j] *= mid * (even + odd)
	}
	return true
}

// nearPulse is by how much an exponent over the moments may move for the pulse to follow
// by a power series, whose first term left out is 1e-12.
const nearPulse = 0.3

// hyperbolic is cosh z and sinh z for |z| up to half of nearPulse.
func hyperbolic(z complex128) (cosh, sinh complex128) {
	q := z * z
	return 1 + q*(1./2+q*(1./24+q*(1./720))), z * (1 + q*(1./6+q*(1./120+q*(1./5040))))
}

// over is the mode's exponent over so many seconds, from a carrier at middle hertz.
func (m mode) over(secs, middle float64) complex128 {
	return complex(-m.alpha*secs, 2*math.Pi*(m.hz-middle)*secs)
}

// A posture is all that tells what a line does in its bins.
type posture struct {
	ms                  [2]mode
	count               int // of modes
	now                 glide
	bent, faded, turned bool
}

func (fr *frame) posture(l *line) posture {
	p := posture{now: fr.now, bent: fr.curved}
	p.ms, p.count = l.sounds()
	p.faded, p.turned = fr.fades(l)
	return p
}

// sound sets dst to what a line does at the moments, and tells whether the lens shows
// it: all that subtractAll takes out of its bins but for the images at negative
// frequencies.
func (v *view) sound(dst []float64, of posture) bool {
	n := len(v.at)
	re, im := dst[:n], dst[n:2*n]
	clear(dst)
	v.update(of.now)
	for i, m := range of.ms[:of.count] {
		p := &v.pulses[i]
		if !p.follow(v.lens, m.over(v.secs, v.middle)) {
			return false
		}
		a := 0.5 * m.amp * complex(v.n, 0)
		if !of.bent && !of.faded && !of.turned {
			for j, e := range p.e {
				z := a * e
				re[j] += real(z)
				im[j] += imag(z)
			}
			continue
		}
		turns, fall, lead := 0.0, 0.0, v.now.turned(m.hz)
		if of.bent {
			turns = 2 * math.Pi * m.hz
		}
		if of.faded {
			fall = m.alpha
		}
		for j, e := range p.e {
			z := a * e * complex(1+fall*v.fade[j], turns*v.bend[j]+lead*v.dying[j])
			re[j] += real(z)
			im[j] += imag(z)
		}
	}
	return true
}

// see makes rows of what is left now, and tells whether the lens shows it.
func (v *view) see(l *line) bool {
	if !v.sound(v.rows, v.fr.posture(l)) {
		return false
	}
	for j, w := range v.was {
		v.rows[j] = w - v.rows[j]
	}
	n := len(v.at)
	v.look(v.rows[:n], v.rows[n:])
	for j, r := range v.then {
		v.rows[j] += r
	}
	return true
}

// band is what all models leave in the line's bins, by its rows.
func (v *view) band() band {
	b := v.out
	n := len(v.at)
	im := v.rows[n:]
	s0, s1 := v.s0[:len(im)], v.s1[:len(im)]
	var r0, i0, r1, i1 float64
	for j, x := range v.rows[:n] {
		y := im[j]
		b.power += x*x + y*y
		r0, i0 = r0+s0[j]*x, i0+s0[j]*y
		r1, i1 = r1-s1[j]*y, i1+s1[j]*x
	}
	b.s0 += complex(r0, i0)
	b.s1 += complex(r1, i1)
	return b
}
