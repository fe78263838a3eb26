package detect

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	burdenSpread = 1.0   // prior standard deviation of a burden's ratio: none to speak of,
	likelyOff2   = 2e-4  // and of off2, a burden being meant to sit in the middle: 1.4 % of the length
	likelyWide   = 0.004 // a clip holds some millimetres straight, give or take,
	wideSpread   = 0.005
	likelyTurn   = 2e-5 // and rocks: a radius of gyration of some millimetres
	turnSpread   = 4e-5
	leastBurden  = 1e-4
	mostBurden   = 1.0
	crowded      = 3.5 // times the resolution, closer than which two partials are not told apart
)

// there tells whether there is a burden at all.
func (bu burden) there() bool { return bu.ratio > 0 }

// partial is the frequency of partial n of a string of the law l under the burden, Hz.
func (bu burden) partial(l law, n int) float64 {
	if !bu.there() {
		return l.hz(n)
	}
	return bu.waving(l, n, bu.wave(n, l.b, 0))
}

// waving is partial for a partial of a half waves.
func (bu burden) waving(l law, n int, a float64) float64 {
	return l.f0 * a * math.Sqrt(1+l.b*a*a) * (1 - bu.rocking(n, a, l.b))
}

// move changes the burden, kept within what can be.
func (bu *burden) move(ratio, off2, wide, turn float64) {
	bu.ratio = min(max(bu.ratio+ratio, bu.ratio/2, leastBurden), mostBurden)
	bu.off2 = min(max(bu.off2+off2, -4*likelyOff2), 0.25)
	bu.wide = min(max(bu.wide+wide, -bu.ratio/2), 0.1)
	bu.turn = min(max(bu.turn+turn, -5*turnSpread), 1e-3)
}

// laws is how many parameters the law of a loaded string has: ln f0, B and the burden's
// ratio, off2, wide and turn.
const laws = 6

// sens is how the logarithm of partial n's frequency moves with them: by differences, as
// the law is cheap and smooth.
func (bu burden) sens(l law, n int) (j [laws]float64) {
	j[0] = 1
	a := bu.wave(n, l.b, 0)
	for i, h := range [laws]float64{1: 1e-7, 2: 1e-6, 3: 1e-7, 4: 1e-6, 5: 1e-7} {
		if h == 0 {
			continue
		}
		hz := func(h float64) float64 {
			v, a := bu.moved(l, i, h), a
			if i < 5 { // how it turns changes no wave
				a = v.wave(n, v.b, a)
			}
			return v.waving(v.law, n, a)
		}
		j[i] = math.Log(hz(h)/hz(-h)) / (2 * h)
	}
	return j
}

// moved is a law with its parameter i moved by h.
func (bu burden) moved(l law, i int, h float64) series {
	v := [laws]float64{}
	v[i] = h
	return series{law{l.f0 * math.Exp(v[0]), l.b + v[1]}, burden{bu.ratio + v[2], bu.off2 + v[3], bu.wide + v[4], bu.turn + v[5]}}
}

// A burdenHeld is what the law of a loaded string is held to, weakly but where it is
// known.
type burdenHeld struct {
	off2, uOff2 float64
	bare        bool    // whether the bare string was heard too:
	f0, uLn     float64 // its f0, Hz, with the standard uncertainty of the logarithm
	b, uB       float64
}

// priors are those of the law's parameters.
func (hd burdenHeld) priors(l law, bu burden) [laws]prior {
	ps := [laws]prior{{0, 1}, {hd.b - l.b, hd.uB}, {-bu.ratio, burdenSpread}, {hd.off2 - bu.off2, hd.uOff2},
		{likelyWide - bu.wide, wideSpread}, {likelyTurn - bu.turn, turnSpread}}
	if hd.bare {
		ps[0] = prior{math.Log(hd.f0 / l.f0), hd.uLn}
	}
	return ps
}

// hz is the frequency of partial n by the hypothesis.
func (h *hypothesis) hz(n int) float64 { return h.burden.partial(h.law, n) }

// number is the partial nearest to hz.
func (h *hypothesis) number(hz float64) int {
	n := h.law.number(hz)
	if h.burden.there() && math.Abs(h.hz(n+1)-hz) < math.Abs(h.hz(n)-hz) {
		return n + 1 // partials are lowered by less than one place
	}
	return n
}

// room is about how far partial n lies from its nearest neighbour, Hz: a load at the
// middle brings the odd ones down to the even ones below them. It is f0 on a bare
// string.
func (h *hypothesis) room(n int) float64 {
	if !h.burden.there() {
		return h.f0
	}
	odd := float64(n + 1 - n%2) // the odd one of the two
	return h.f0 * 2 / math.Pi * math.Atan(2/(math.Pi*h.burden.ratio*odd))
}

// clearTop is the frequency up to which a burden leaves the partials far enough apart to
// be told, at most topHz: high up, each odd one comes to lie at the even one below it.
func (h *hypothesis) clearTop(s *spectrum, topHz float64) float64 {
	if !h.burden.there() {
		return topHz
	}
	for n := 2; n <= maxPartials; n++ {
		if h.room(n) < crowded*s.resHz {
			return min(topHz, h.hz(n)-h.room(n)/2)
		}
	}
	return topHz
}

// fitBurdened is fitPeaks for a string with a burden: least squares in the logarithms of
// frequencies by (ln f0, B, ratio, off2); what the mass does by being no point is too
// little to matter here.
func (h *hypothesis) fitBurdened(s *spectrum, reach int) {
	const k = 4
	for range 2 {
		A, rhs := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
		ps := h.held.priors(h.law, h.burden)
		for i, p := range ps[:k] {
			A.SetSym(i, i, 1/(p.spread*p.spread))
			rhs.SetVec(i, p.off/(p.spread*p.spread))
		}
		for _, m := range h.matches {
			if m.n > reach {
				break
			}
			hz := h.hz(m.n)
			r := (m.p.hz - hz) / math.Hypot(m.p.u, 0.0012*m.p.hz)
			u := math.Hypot(m.p.u, 0.0008*m.p.hz) / m.p.hz
			w := s.prominence(m.p) * m.p.weight() / (u * u * (1 + r*r))
			j := h.burden.sens(h.law, m.n)
			off := math.Log(m.p.hz / hz)
			for p := range k {
				rhs.SetVec(p, rhs.AtVec(p)+w*j[p]*off)
				for q := p; q < k; q++ {
					A.SetSym(p, q, A.At(p, q)+w*j[p]*j[q])
				}
			}
		}
		inv := mat.NewSymDense(k, nil)
		d, ok := solveScaled(A, rhs, inv)
		if !ok {
			return
		}
		// No step beyond what the equations are linear in.
		step := func(p int, most float64) float64 { return min(max(d.AtVec(p), -most), most) }
		h.f0 *= math.Exp(step(0, 0.02))
		h.b = min(max(h.b+d.AtVec(1), 0), maxB)
		h.burden.move(step(2, 0.05), step(3, 2*likelyOff2), 0, 0)
		h.uF0, h.uB = h.f0*math.Sqrt(inv.At(0, 0)), math.Sqrt(inv.At(1, 1))
		h.uRatio, h.uOff2 = math.Sqrt(inv.At(2, 2)), math.Sqrt(inv.At(3, 3))
	}
}

// hz is the frequency of partial n at rest by the fit's law, Hz.
func (f *fit) hz(n int) float64 { return f.burden.partial(f.law, n) }

// bear puts on the burden that a hypothesis has, if any.
func (f *fit) bear(h hypothesis) {
	if f.burden = h.burden; !f.burden.there() {
		return
	}
	f.held = h.held
	f.cov.SetSym(burdenRatio, burdenRatio, h.uRatio*h.uRatio+1e-10)
	f.cov.SetSym(burdenOff2, burdenOff2, h.uOff2*h.uOff2+1e-16)
	f.cov.SetSym(burdenWide, burdenWide, wideSpread*wideSpread)
	f.cov.SetSym(burdenTurn, burdenTurn, turnSpread*turnSpread)
}

// burdenSens is sens for a string with a burden.
func (f *fit) burdenSens(n int) (j [params]float64) {
	hz := f.hz(n)
	s := f.burden.sens(f.law, n)
	for i, p := range lawParams {
		j[p] = hz * s[i]
	}
	return j
}

// part gives the bins between two neighbours, by rising frequency, to the nearer.
func (fr *frame) part(lines []*line) {
	bin := fr.rate / float64(fr.n)
	for i, l := range lines {
		if i > 0 {
			mid := int((l.hz+lines[i-1].hz)/2/bin + 1)
			l.lo = max(l.lo, mid)
			lines[i-1].hi = min(lines[i-1].hi, mid)
		}
	}
	for _, l := range lines {
		l.hi = max(l.hi, l.lo)
	}
}
