package detect

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// A line is one damped partial in the window that is being fitted:
// Re{amp·e^((-alpha + 2πi f)t)} from the window's first sample on, with f from
// the law that all lines share.
type line struct {
	n     int
	hz    float64    // where it is taken to be now: by the law, plus off
	off   float64    // Hz, its own departure from the law
	alpha float64    // amplitude decay rate, 1/s
	amp   complex128 // at the window's start

	lo, hi int     // its bins, [lo, hi)
	noise  float64 // power per bin that the fit leaves there

	// From the last step, amplitude, phase and decay already eliminated:
	info  [2][2]float64 // Fisher information on (hz, g)
	grad  [2]float64    // and its right-hand side
	snr   float64       // power of the line over the noise in its bins
	uAmp  float64       // standard uncertainty of |amp|
	uRate float64       // and of alpha
	used  bool
	out   bool // set aside for good: not heard, or not of this law
}

// exponent is the line's complex exponent per sample.
func (l *line) exponent(rate float64) complex128 {
	return complex(-l.alpha/rate, 2*math.Pi*l.hz/rate)
}

const lineBins = 40 // bins on each side of a line: 99 % of what they tell about its frequency

// A frame is the spectrum of the stretch that is fitted, unwindowed and
// unpadded, so that white noise is independent from bin to bin.
type frame struct {
	rate float64
	n    int
	spec []complex128 // bins 0 … n/2
	tw   []complex128 // exp(-2πik/n)
	rest []complex128 // spec less every line's model

	// What of the glide is still in the window, small: the lines carry its mean,
	// kappa·g, in their frequencies, and its curvature to first order.
	left  glide
	kappa float64
}

// place gives each line the bins around it, up to half-way to its neighbours
// and clear of the bins in avoid.
func (fr *frame) place(lines []*line, f0 float64) {
	binHz := fr.rate / float64(fr.n)
	width := int(math.Min(lineBins, 0.48*f0/binHz))
	for _, l := range lines {
		c := int(l.hz/binHz + 0.5)
		// A fast-decaying line is broad: its half width at half power is α/2π.
		w := min(int(0.48*f0/binHz), max(width, int(6*l.alpha/(2*math.Pi)/binHz)))
		l.lo, l.hi = max(1, c-w), min(len(fr.spec)-1, c+w+1)
	}
}

// add puts sign times the line's spectrum, its mirror image at negative
// frequencies included, onto dst over bins [lo, hi).
func (fr *frame) add(dst []complex128, l *line, lo, hi int, sign float64) {
	s := l.exponent(fr.rate)
	up, down := newGeometric(s, fr.n), newGeometric(cmplx.Conj(s), fr.n)
	a, b := complex(sign/2, 0)*l.amp*(1-up.zN), complex(sign/2, 0)*cmplx.Conj(l.amp)*(1-down.zN)
	for k := lo; k < hi; k++ {
		w := fr.tw[k]
		d, e := 1-up.z*w, 1-down.z*w
		if tiny(d) || tiny(e) {
			dst[k] += complex(sign/2, 0) * (l.amp*up.sum(w) + cmplx.Conj(l.amp)*down.sum(w))
			continue
		}
		// a/d + b/e with one division.
		dst[k] += (a*e + b*d) / (d * e)
	}
}

// placeStrays gives lines outside the law the few bins next to them.
func (fr *frame) placeStrays(lines []*line) {
	for _, l := range lines {
		c := int(l.hz/fr.rate*float64(fr.n) + 0.5)
		l.lo, l.hi = max(1, c-8), max(1, min(len(fr.spec)-1, c+9))
	}
}

// subtractAll sets rest to the spectrum less all lines, wherever a line has
// bins. Those in gliding follow what glide is left.
func (fr *frame) subtractAll(lines, gliding []*line) {
	spans := make([][2]int, 0, len(lines))
	for _, l := range lines {
		spans = append(spans, [2]int{l.lo, l.hi})
	}
	slices.SortFunc(spans, func(a, b [2]int) int { return cmp.Compare(a[0], b[0]) })
	done := 0
	for _, sp := range spans {
		lo, hi := max(sp[0], done), sp[1]
		if hi <= lo {
			continue
		}
		copy(fr.rest[lo:hi], fr.spec[lo:hi])
		for _, l := range lines {
			fr.add(fr.rest, l, lo, hi, -1)
		}
		done = hi
	}
	if fr.left.g == 0 {
		return
	}
	for _, l := range gliding {
		s := l.exponent(fr.rate)
		a, b := newGeometric(s, fr.n), newGeometric(s-complex(2*fr.left.alpha/fr.rate, 0), fr.n)
		c := 0.5 * l.amp * complex(0, 2*math.Pi*l.hz*fr.left.g)
		for k := l.lo; k < l.hi; k++ {
			G, D := a.sums(fr.tw[k])
			bend := (G-b.sum(fr.tw[k]))/complex(2*fr.left.alpha, 0) - D*complex(fr.kappa/fr.rate, 0)
			fr.rest[k] -= c * bend
		}
	}
}

// start sets a line's amplitude by projection, nothing else known.
func (fr *frame) start(l *line) {
	g := newGeometric(l.exponent(fr.rate), fr.n)
	var num complex128
	den := 0.0
	for k := l.lo; k < l.hi; k++ {
		G := g.sum(fr.tw[k])
		num += cmplx.Conj(G) * fr.rest[k]
		den += real(G)*real(G) + imag(G)*imag(G)
	}
	if den > 0 {
		l.amp += 2 * num / complex(den, 0)
	}
}

// step linearises a line about its present state, solves for amplitude, phase
// and decay, and leaves in info and grad what its bins say about its frequency
// and about the glide. Its own model must have been taken out of rest.
// prior is the decay that its neighbours suggest, with relative spread.
func (fr *frame) step(l *line, priorAlpha, spread float64) (dAmp complex128, dAlpha float64, back [3][2]float64) {
	s := l.exponent(fr.rate)
	g := newGeometric(s, fr.n)
	beta := fr.left.alpha / fr.rate
	gg := newGeometric(s-complex(2*beta, 0), fr.n)
	perHz := 2 * math.Pi / fr.rate
	var m [5][6]float64 // normal equations in (Re amp, Im amp, α, hz, g)
	power := 0.0
	for k := l.lo; k < l.hi; k++ {
		w := fr.tw[k]
		G, D := g.sums(w)
		half := 0.5 * l.amp
		c0 := 0.5 * G
		c1 := complex(-imag(c0), real(c0))
		hd := half * D
		c2 := hd * complex(-1/fr.rate, 0)
		c3 := complex(-imag(hd), real(hd)) * complex(perHz, 0)
		ph := half * (G - gg.sum(w)) * complex(2*math.Pi*l.hz/(fr.rate*2*beta), 0)
		c4 := complex(-imag(ph), real(ph))
		cols := [5]complex128{c0, c1, c2, c3, c4}
		r := fr.rest[k]
		for i := range cols {
			a, b := real(cols[i]), imag(cols[i])
			for j := i; j < 5; j++ {
				m[i][j] += a*real(cols[j]) + b*imag(cols[j])
			}
			m[i][5] += a*real(r) + b*imag(r)
		}
		power += real(r)*real(r) + imag(r)*imag(r)
	}
	for i := range 5 {
		for j := range i {
			m[i][j] = m[j][i]
		}
	}
	// Noise of power v per bin has v/2 in each of its two dimensions.
	if dof := float64(l.hi-l.lo) - 2; dof > 0 {
		l.noise = power / dof
	}
	v := l.noise/2 + 1e-40
	l.snr = (real(l.amp)*real(l.amp) + imag(l.amp)*imag(l.amp)) * m[0][0] / (2 * v)
	l.uAmp = math.Sqrt(v / m[0][0])
	for i := range m {
		for j := range m[i] {
			m[i][j] /= v
		}
	}
	if spread > 0 {
		w := 1 / (priorAlpha * priorAlpha * spread * spread)
		m[2][2] += w
		m[2][5] += w * (priorAlpha - l.alpha)
	}
	for p := range 3 {
		if m[p][p] <= 0 {
			l.info, l.grad = [2][2]float64{}, [2]float64{}
			return 0, 0, back
		}
		inv := 1 / m[p][p]
		for j := range m[p] {
			m[p][j] *= inv
		}
		if p == 2 {
			l.uRate = math.Sqrt(inv)
		}
		for i := range m {
			if i == p {
				continue
			}
			f := m[i][p]
			for j := range m[i] {
				m[i][j] -= f * m[p][j]
			}
		}
	}
	for i := range 2 {
		for j := range 2 {
			l.info[i][j] = m[3+i][3+j]
		}
		l.grad[i] = m[3+i][5]
	}
	for p := range 3 {
		back[p] = [2]float64{m[p][3], m[p][4]}
	}
	return complex(m[0][5], m[1][5]), m[2][5], back
}
