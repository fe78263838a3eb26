package detect

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"
)

const (
	humOver  = 6.0  // dB over what lies beside it, from which a line of the background is hum
	humBand  = 6.0  // Hz on each side of a harmonic of the mains, over which the background spreads it
	humClear = 15.0 // Hz from it, from which the background is another
	humSame  = 3.0  // dB within which a line is as loud as hum was before the pluck
)

// humAt is the harmonic of the mains nearest to hz, and how loud it was before the
// pluck, as an amplitude in dB; false where nothing was there.
func (l *listener) humAt(hz float64) (at, db float64, ok bool) {
	if l.hush == nil {
		return 0, 0, false
	}
	if at = mainsNear(hz, mainsTop); at == 0 {
		return 0, 0, false
	}
	db = l.hush.level(at-humBand, at+humBand)
	beside := max(l.hush.level(at-humClear-humBand, at-humClear), l.hush.level(at+humClear, at+humClear+humBand))
	return at, db, db > beside+humOver
}

// dropHum sets aside the lines of a finished fit that are hum and no partials: at a
// harmonic of the mains, as loud as it was before the pluck, and not dying. Hum on
// which a string's partial lies is taken for it once the partial has died, or where the
// two are told apart and hum is the louder. The fit goes on without them.
func (l *listener) dropHum(f *fit) {
	dropped := false
	for _, ln := range f.used() {
		at, db, ok := l.humAt(ln.hz)
		if !ok || ln.alpha > steadyDecay || math.Abs(ln.hz-at) > at*mainsWithin || math.Abs(decibel(sq(ln.amp))-db) > humSame {
			continue
		}
		f.strays = append(f.strays, &line{hz: ln.hz, alpha: ln.alpha, amp: ln.amp, used: true})
		if ln.twin.on {
			ln.swap() // the weaker mode is the partial
		} else {
			ln.used, ln.out, ln.off = false, true, 0
		}
		ln.twin.on = false
		dropped = true
	}
	if dropped {
		f.solve(doneStep)
	}
}

// onHum tells whether hum lies in many of the lines, where two modes to a line are
// no sign of two directions of vibration.
func (l *listener) onHum(f *fit) bool {
	in, all := 0, 0
	for _, ln := range f.used() {
		all++
		if at, _, ok := l.humAt(ln.hz); ok && math.Abs(ln.hz-at) < 2/f.secs {
			in++
		}
	}
	return 3*in > all
}

// humPull is by how much the fit's parameters may be off for hum that lies beside
// partials, too close to be told from them and fitted by itself. The phases of the
// harmonics of hum being what they may, the partials are drawn independently. Where
// nothing was heard before the pluck, nothing is known of it.
func (l *listener) humPull(f *fit) (all [params]float64) {
	for _, ln := range f.used() {
		at, db, ok := l.humAt(ln.hz)
		near := func(hz float64) bool { return math.Abs(hz-at) < 1/f.secs }
		told := ln.twin.on && near(ln.hz+ln.twin.d) || slices.ContainsFunc(f.strays, func(s *line) bool { return near(s.hz) })
		if !ok || told {
			continue
		}
		hum := math.Pow(10, db/20)
		shift := f.fr.pull(ln, mode{at, steadyDecay / 10, complex(hum, 0)})
		shift *= 1 + math.E*hum/cmplx.Abs(ln.amp) // to second order, when the partial has died to its e-th part
		info, _ := ln.relaxed(f.tau)
		J := f.jacobian(ln.n)
		var move [params]float64
		for q := range params {
			pull := 0.0
			for u := range shared {
				pull += J[u][q] * info[u][0] * shift
			}
			for i := range move {
				move[i] += f.cov.At(i, q) * pull
			}
		}
		for i, m := range move {
			all[i] = math.Hypot(all[i], m)
		}
	}
	return all
}

// pull is how far, in Hz, a mode of any phase beside a line draws the line's
// frequency, by root mean square over the phase: least squares for the line's
// amplitude, decay and frequency, to first order, of what is none of it.
func (fr *frame) pull(l *line, beside mode) float64 {
	const own = 4
	m := l.modes()[0]
	g := newGeometric(m.exponent(fr.rate), fr.n)
	other := fr.wave(beside)
	A, rhs := mat.NewSymDense(own, nil), mat.NewDense(own, 2, nil)
	for k := l.lo; k < l.hi; k++ {
		G, D := g.sums(fr.tw[k])
		D *= 0.5 * m.amp * complex(1/fr.rate, 0)
		cols := [own]complex128{0.5 * G, times1i(0.5 * G), -D, times1i(D) * 2 * math.Pi}
		h := other.at(fr.tw[k])
		for i := range own {
			rhs.Set(i, 0, rhs.At(i, 0)+inner(cols[i], h))
			rhs.Set(i, 1, rhs.At(i, 1)+inner(cols[i], times1i(h)))
			for j := i; j < own; j++ {
				A.SetSym(i, j, A.At(i, j)+inner(cols[i], cols[j]))
			}
		}
	}
	var ch mat.Cholesky
	var d mat.Dense
	if !ch.Factorize(A) || ch.SolveTo(&d, rhs) != nil {
		return math.Abs(beside.hz - l.hz)
	}
	return math.Hypot(d.At(own-1, 0), d.At(own-1, 1)) / math.Sqrt2
}
