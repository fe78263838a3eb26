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
	info  [shared][shared]float64 // Fisher information on (hz, g, ln α of the glide)
	grad  [shared]float64         // and its right-hand side
	snr   float64                 // power of the line over the noise in its bins
	uAmp  float64                 // standard uncertainty of |amp|
	uRate float64                 // and of alpha
	used  bool
	out   bool // set aside for good: not heard, or not of this law
}

// exponent is the line's complex exponent per sample.
func (l *line) exponent(rate float64) complex128 {
	return complex(-l.alpha/rate, 2*math.Pi*l.hz/rate)
}

const lineBins = 40 // bins on each side of a line: 99 % of what they tell about its frequency

const (
	shared = 3 // what a line tells of to the others: its frequency and the glide's two parameters
	local  = 3 // what concerns it alone: amplitude's two parts and decay
)

// A frame is the spectrum of the stretch that is fitted, unwindowed and
// unpadded, so that white noise is independent from bin to bin.
type frame struct {
	rate float64
	n    int
	spec []complex128 // bins 0 … n/2
	tw   []complex128 // exp(-2πik/n)
	rest []complex128 // spec less every line's model

	// The glide that was taken out of the window and the one now believed. What
	// is left is small: the lines carry its mean in their frequencies and its
	// curvature to first order.
	out, now glide
}

// secs is the window's length.
func (fr *frame) secs() float64 { return float64(fr.n) / fr.rate }

// meanLeft is the mean relative shift that the window still holds.
func (fr *frame) meanLeft() float64 {
	t := fr.secs()
	return (fr.now.ahead(t) - fr.out.ahead(t)) / t
}

// bendLeft is how far, in seconds, the rest of the glide departs from its mean
// at its worst.
func (fr *frame) bendLeft() float64 {
	worst, m := 0.0, fr.meanLeft()
	for i := 1.0; i < 8; i++ {
		t := fr.secs() * i / 8
		worst = max(worst, math.Abs(fr.now.ahead(t)-fr.out.ahead(t)-m*t))
	}
	return worst
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
	if fr.now == fr.out {
		return
	}
	m := fr.meanLeft()
	for _, l := range gliding {
		s := l.exponent(fr.rate)
		base := newGeometric(s, fr.n)
		now, out := fr.now.shifted(s, fr), fr.out.shifted(s, fr)
		c := 0.5 * l.amp * complex(0, 2*math.Pi*l.hz)
		gNow, gOut := fr.now.g/(2*fr.now.alpha), fr.out.g/(2*fr.out.alpha)
		for k := l.lo; k < l.hi; k++ {
			w := fr.tw[k]
			G, D := base.sums(w)
			left := complex(gNow, 0)*(G-now.sum(w)) - complex(gOut, 0)*(G-out.sum(w)) - D*complex(m/fr.rate, 0)
			fr.rest[k] -= c * left
		}
	}
}

// shifted is the sum for a line that dies faster by the glide's own decay 2α.
func (gl glide) shifted(s complex128, fr *frame) geometric {
	return newGeometric(s-complex(2*gl.alpha/fr.rate, 0), fr.n)
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

// A localStep is what a line's own parameters do: a part of their own, and how
// they answer to each of the shared ones.
type localStep struct {
	own  [local]float64
	back [local][shared]float64
}

// after is the step once the shared parameters have moved by d.
func (s localStep) after(d [shared]float64) (dAmp complex128, dAlpha float64) {
	v := s.own
	for i := range v {
		for j := range d {
			v[i] -= s.back[i][j] * d[j]
		}
	}
	return complex(v[0], v[1]), v[2]
}

// step linearises a line about its present state, solves for amplitude, phase
// and decay, and leaves in info and grad what its bins say about its frequency
// and about the glide. rest must hold what all models together leave. prior is
// the decay that its neighbours suggest, with relative spread.
func (fr *frame) step(l *line, prior, spread float64) localStep {
	const all = local + shared
	s := l.exponent(fr.rate)
	base, dying := newGeometric(s, fr.n), fr.now.shifted(s, fr)
	perHz := 2 * math.Pi / fr.rate
	perAhead := 2 * math.Pi * l.hz
	var m [all][all + 1]float64 // normal equations in (Re amp, Im amp, α, hz, g, ln α)
	power := 0.0
	for k := l.lo; k < l.hi; k++ {
		w := fr.tw[k]
		G, D := base.sums(w)
		G2, D2 := dying.sums(w)
		half := 0.5 * l.amp
		h := (G - G2) * complex(1/(2*fr.now.alpha), 0)
		c0 := 0.5 * G
		hd := half * D
		ph := half * h * complex(perAhead, 0)
		pa := half * (D2*complex(1/fr.rate, 0) - h) * complex(perAhead*fr.now.g, 0)
		cols := [all]complex128{c0, times1i(c0), hd * complex(-1/fr.rate, 0),
			times1i(hd) * complex(perHz, 0), times1i(ph), times1i(pa)}
		r := fr.rest[k]
		for i := range cols {
			a, b := real(cols[i]), imag(cols[i])
			for j := i; j < all; j++ {
				m[i][j] += a*real(cols[j]) + b*imag(cols[j])
			}
			m[i][all] += a*real(r) + b*imag(r)
		}
		power += real(r)*real(r) + imag(r)*imag(r)
	}
	// Noise of power v per bin has v/2 in each of its two dimensions.
	if dof := float64(l.hi-l.lo) - 2; dof > 0 {
		l.noise = power / dof
	}
	v := l.noise/2 + 1e-40
	l.snr = sq(l.amp) * m[0][0] / (2 * v)
	l.uAmp = math.Sqrt(v / m[0][0])
	for i := range m {
		for j := range i {
			m[i][j] = m[j][i]
		}
	}
	for i := range m {
		for j := range m[i] {
			m[i][j] /= v
		}
	}
	w := 1 / (prior * prior * spread * spread)
	m[2][2] += w
	m[2][all] += w * (prior - l.alpha)
	return l.eliminate(&m)
}

func times1i(z complex128) complex128 { return complex(-imag(z), real(z)) }

// eliminate solves the line's own parameters out of its normal equations
// (Gauss–Jordan; they are well scaled and few).
func (l *line) eliminate(m *[local + shared][local + shared + 1]float64) (s localStep) {
	const rhs = local + shared
	l.info, l.grad = [shared][shared]float64{}, [shared]float64{}
	for p := range local {
		if !(m[p][p] > 0) {
			return localStep{}
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
	for i := range shared {
		for j := range shared {
			l.info[i][j] = m[local+i][local+j]
			s.back[i][j] = m[i][local+j]
		}
		l.grad[i] = m[local+i][rhs]
		s.own[i] = m[i][rhs]
	}
	return s
}
