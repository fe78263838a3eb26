package detect

import (
	"math"
	"math/cmplx"
	"slices"
)

const (
	twinSecs = 0.9  // s of sound below which a pair is not looked for
	twinNats = 14.0 // log-likelihood that a twin's four parameters must bring
	twinNear = 12   // bins on each side in which a pair shows
	twinSNR  = 100  // power over noise below which none is looked for

	polishSteps = 4
)

// findTwins looks for partials that beat: a second mode close by that explains
// what a single one leaves. It reports whether any was found or given up.
func (f *fit) findTwins() bool {
	if f.secs < twinSecs {
		return false
	}
	changed := false
	for _, l := range f.used() {
		switch {
		case l.twin.on && cmplx.Abs(l.twin.amp) < 2.5*l.twin.uAmp:
			l.twin.on = false
			changed = true
		case l.twin.on && loudness(l.twin.amp, l.twin.alpha) > loudness(l.amp, l.alpha):
			l.swap()
			changed = true
		case !l.twin.on:
			if t, ok := f.fr.twinned(l); ok {
				*l = t
				f.polish(l)
				changed = true
			}
		}
	}
	return changed
}

// polish fits a line's own parameters with all else held, so that a pair is near
// its place before all lines move together.
func (f *fit) polish(l *line) {
	fr := f.fr
	a0, a2 := f.decayTrend()
	info, grad := l.info, l.grad
	for range polishSteps {
		s := fr.stepOf(l, a0+a2*l.hz*l.hz, decayPrior, false)
		before, was := fr.left(l), *l
		after := before
		for _, scale := range [...]float64{1, 0.3, 0.1, 0.03} {
			if after = fr.exchange(l, func() { l.move(s.own, scale, 0.01) }); after < before {
				break
			}
			fr.exchange(l, func() { *l = was })
		}
		if after > before*(1-1e-3) {
			break
		}
	}
	l.info, l.grad = info, grad
}

// exchange keeps rest true, in the line's own bins, to what change makes of the line, or
// sees it again, and returns what is left then.
func (fr *frame) exchange(l *line, change func()) float64 {
	if fr.seeing {
		change()
		if !fr.again(l) {
			return math.Inf(1)
		}
		return fr.left(l)
	}
	put := func(sign complex128) {
		ms, count := l.sounds()
		for _, m := range ms[:count] {
			m.amp *= sign
			v := fr.wave(m)
			fr.subtract(fr.rest, &v, l.lo, l.hi)
		}
	}
	put(-1)
	change()
	put(1)
	return fr.left(l)
}

// loudness is proportional to a mode's energy.
func loudness(amp complex128, alpha float64) float64 { return sq(amp) / alpha }

// swap makes the twin the line's own mode.
func (l *line) swap() {
	t := l.twin
	l.twin.amp, l.twin.alpha, l.twin.d = l.amp, l.alpha, -t.d
	l.amp, l.alpha = t.amp, t.alpha
	l.off += t.d
	l.hz += t.d
}

// twinned is the line with a second mode, tried at several distances from its own
// and of its decay, if the best of them earns its parameters.
func (fr *frame) twinned(l *line) (t line, ok bool) {
	bin := fr.rate / float64(fr.n)
	lo, hi := fr.around(l, twinNear)
	if l.snr <= twinSNR || hi-lo < twinNear {
		return t, false
	}
	own := l.modes()[0]
	g := newGeometric(own.exponent(fr.rate), fr.n)
	before := sumSquares(fr.rest[lo:hi])
	best, n := before, float64(hi-lo)
	var bestD float64
	var bestA, bestB complex128
	for _, step := range [...]float64{0.25, 0.5, 0.8, 1.2, 1.8, 2.6, 3.6, 5} {
		for _, sign := range [...]float64{1, -1} {
			d := sign * step * bin
			if math.Abs(d) > 3*twinSpread*l.hz {
				continue
			}
			second := own
			second.hz += d
			h := newGeometric(second.exponent(fr.rate), fr.n)
			// Least squares for both amplitudes' changes: two complex unknowns.
			var gg, hh float64
			var gh, gr, hr complex128
			for k := lo; k < hi; k++ {
				G, H := 0.5*g.sum(fr.tw[k]), 0.5*h.sum(fr.tw[k])
				gg += sq(G)
				hh += sq(H)
				gh += cmplx.Conj(G) * H
				gr += cmplx.Conj(G) * fr.rest[k]
				hr += cmplx.Conj(H) * fr.rest[k]
			}
			det := gg*hh - sq(gh)
			if det <= 1e-6*gg*hh {
				continue
			}
			a := (complex(hh, 0)*gr - gh*hr) / complex(det, 0)
			b := (complex(gg, 0)*hr - cmplx.Conj(gh)*gr) / complex(det, 0)
			left := before - real(cmplx.Conj(a)*gr) - real(cmplx.Conj(b)*hr)
			if left < best {
				best, bestD, bestA, bestB = left, d, a, b
			}
		}
	}
	if best <= 0 || n*math.Log(before/best) < twinNats {
		return t, false
	}
	t = *l
	t.amp += bestA
	t.twin.on, t.twin.d, t.twin.alpha, t.twin.amp = true, bestD, l.alpha, bestB
	return t, true
}

// stillBent tells whether a line shows a pair that has not been told of.
func (f *fit) stillBent() bool {
	return slices.ContainsFunc(f.used(), func(l *line) bool {
		_, ok := f.fr.twinned(l)
		return ok
	})
}

// pairUp gives lines that beat a second mode of their own.
func (f *fit) pairUp() {
	for range 6 {
		f.converge(pairIter)
		if !f.findTwins() {
			return
		}
		f.residual(true)
	}
}

// setAside takes what some lines show besides a coupled pair for strays: a
// neighbour's partials.
func (f *fit) setAside() {
	most := int(mostOut * float64(len(f.used())))
	for _, l := range f.used() {
		if most == 0 {
			break
		}
		if t, ok := f.fr.twinned(l); ok {
			s := &line{hz: t.hz + t.twin.d, alpha: t.twin.alpha, amp: t.twin.amp, used: true, extra: true}
			f.fr.placeStrays([]*line{s})
			f.strays = append(f.strays, s)
			most--
		}
	}
	f.residual(true)
	f.converge(pairIter)
}
