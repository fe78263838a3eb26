package synth

import "math"

// mostAngle bounds the angle, in rad, by which a partial leaves the tangent of
// its phase within a block. It enters the samples as a third-order polynomial,
// right to mostAngle⁴/24 = 7e-13.
const mostAngle = 2e-3

// addCurved is addModes for modes whose frequency moves: within a block each is
// a phasor turning along the tangent of the warp at the block's middle, and the
// rest of the angle a polynomial.
func addCurved(dst []float64, rate, first float64, modes []mode, w warp) {
	active := append([]mode(nil), modes...)
	g := newTangent(w, rate)
	for start := 0; start < len(dst); {
		t := first + float64(start)/rate
		if active = ringing(active, t); len(active) == 0 {
			return
		}
		n := min(g.block(t, active), len(dst)-start)
		mid := t + float64(n/2)/rate
		speed := w.rate(mid)
		origin := w.at(mid) - speed*float64(n/2)/rate
		off := g.leave(mid, n)
		for i := 0; i < len(active); i += 2 {
			a, b := active[i], mode{}
			if i+1 < len(active) {
				b = active[i+1]
			}
			turn(dst[start:start+n], off,
				a.phasor(t, a.omega*origin+a.phase, a.omega*speed/rate, rate), a.omega,
				b.phasor(t, b.omega*origin+b.phase, b.omega*speed/rate, rate), b.omega)
		}
		start += n
	}
}

// turn adds the real parts of two phasors, of frequencies wa and wb, to dst,
// each turned further by what off, in seconds, adds to the tangent. Two at a
// time keep the processor busy while each waits for its own last sample.
func turn(dst, off []float64, a phasor, wa float64, b phasor, wb float64) {
	ax, ay, arx, ary := a.x, a.y, a.rx, a.ry
	bx, by, brx, bry := b.x, b.y, b.rx, b.ry
	off = off[:len(dst)]
	for k := range dst {
		da, db := wa*off[k], wb*off[k]
		qa, qb := da*da*0.5, db*db*0.5
		dst[k] += ax*(1-qa) - ay*da*(1-qa*(1./3)) + bx*(1-qb) - by*db*(1-qb*(1./3))
		ax, ay = ax*arx-ay*ary, ax*ary+ay*arx
		bx, by = bx*brx-by*bry, bx*bry+by*brx
	}
}

// A tangent tells how a warp departs from its tangents.
type tangent struct {
	w     warp
	rate  float64
	shape [2][longestBlock]float64 // (expm1(rτ) − rτ)/r around a block's middle
	off   [longestBlock]float64
}

func newTangent(w warp, rate float64) *tangent {
	g := &tangent{w: w, rate: rate}
	for i, e := range w {
		if e.r == 0 {
			continue
		}
		for j := range g.shape[i] {
			x := e.r * float64(j-longestBlock/2) / rate
			g.shape[i][j] = (math.Expm1(x) - x) / e.r
		}
	}
	return g
}

// block returns how many samples from t on may share a tangent.
func (g *tangent) block(t float64, modes []mode) int {
	var omega float64
	for _, m := range modes {
		omega = max(omega, m.omega)
	}
	half := math.Sqrt(2*mostAngle/(omega*g.w.bend(t))) * g.rate
	return int(max(1, min(2*math.Floor(half), longestBlock)))
}

// leave returns by how many seconds W departs from its tangent at mid, for each
// sample of a block of n around it. The slice is good until the next call.
func (g *tangent) leave(mid float64, n int) []float64 {
	from := longestBlock/2 - n/2
	s0, s1 := g.shape[0][from:from+n], g.shape[1][from:from+n]
	w0 := g.w[0].w * math.Exp(g.w[0].r*mid)
	w1 := g.w[1].w * math.Exp(g.w[1].r*mid)
	off := g.off[:n]
	for k := range off {
		off[k] = w0*s0[k] + w1*s1[k]
	}
	return off
}
