package detect

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A bend is a pluck's pitch over time as short frames show it: the common
// relative shift of its strongest partials against a law.
type bend struct {
	t, shift, weight []float64 // s from the window's start; relative; inverse variance
}

const (
	bendPeriods = 5.0  // periods to a frame
	bendFrame   = 0.05 // s, or this where it is more
	bendLines   = 10   // strongest partials that are followed
)

// follow measures the pitch of x from sample from on over secs, in half-overlapped
// frames: each partial is taken to base band with the law's frequency, and the
// phase it gains from one frame to the next is its frequency's departure.
func follow(x []float64, from int, rate, secs float64, h hypothesis, quiet *background) bend {
	size := int(math.Max(bendFrame, bendPeriods/h.f0) * rate)
	hop := size / 2
	frames := (int(secs*rate)-size)/hop + 1
	var b bend
	if frames < 2 || from+size+(frames-1)*hop > len(x) {
		frames = (len(x)-from-size)/hop + 1
	}
	if frames < 2 {
		return b
	}
	win := hann(size)
	hopSecs := float64(hop) / rate
	b.t = make([]float64, frames-1)
	b.shift = make([]float64, frames-1)
	b.weight = make([]float64, frames-1)
	z := make([]complex128, frames)
	lines := h.strongest(bendLines, 0.25/hopSecs, 3/(float64(size)/rate), quiet)
	shifts := make([][]weighted, len(b.t))
	for _, m := range lines {
		for f := range z {
			z[f] = project(x[from+f*hop:from+f*hop+size], win, m.p.hz, rate, float64(f)*hopSecs)
		}
		for f := range b.t {
			turn := cmplx.Phase(z[f+1] * cmplx.Conj(z[f]))
			// The peak's own frequency serves as carrier, so that its place by the law does not matter.
			shifts[f] = append(shifts[f], weighted{turn / (2 * math.Pi * hopSecs * m.p.hz),
				math.Min(sq(z[f]), sq(z[f+1])) * m.p.hz * m.p.hz})
		}
	}
	for f := range b.t {
		b.t[f] = (float64(f)+0.5)*hopSecs + float64(size)/2/rate
		b.shift[f], b.weight[f] = weightedMedian(shifts[f])
	}
	return b
}

type weighted struct{ v, w float64 }

// weightedMedian is the value with half the weight on either side, interpolated,
// and all the weight; no single partial that beats can carry it away.
func weightedMedian(vs []weighted) (median, total float64) {
	if len(vs) == 0 {
		return 0, 0
	}
	slices.SortFunc(vs, func(a, b weighted) int { return cmp.Compare(a.v, b.v) })
	for _, v := range vs {
		total += v.w
	}
	below := 0.0
	for i, v := range vs {
		below += v.w
		if below >= total/2 {
			if i > 0 && v.w > 0 {
				t := (below - total/2) / v.w
				return v.v - unit(t-0.5)*(v.v-vs[i-1].v), total
			}
			return v.v, total
		}
	}
	return vs[len(vs)-1].v, total
}

// project is the windowed Fourier coefficient of x at hz, its phase counted from
// t seconds before x.
func project(x, win []float64, hz, rate, t float64) complex128 {
	turn := cmplx.Exp(complex(0, -2*math.Pi*hz/rate))
	ph := cmplx.Exp(complex(0, -2*math.Pi*math.Mod(hz*t, 1)))
	var sum complex128
	for i, v := range x {
		sum += complex(v*win[i], 0) * ph
		ph *= turn
	}
	return sum
}

// strongest picks up to count matched partials whose signal is loudest, no stray
// or hum within clear Hz of them that could disturb; a glide of half a semitone must not
// carry them further than most Hz.
func (h *hypothesis) strongest(count int, most, clear float64, quiet *background) []match {
	disturbed := func(m match) bool {
		if quiet.level(m.p.hz-clear, m.p.hz+clear) > m.p.db-20 {
			return true
		}
		return slices.ContainsFunc(h.strays, func(p peak) bool {
			return math.Abs(p.hz-m.p.hz) < clear && p.db > m.p.db-25
		})
	}
	var ms []match
	for _, m := range h.matches {
		if disturbed(m) {
			continue
		}
		if m.p.hz*0.015 > most && len(ms) > 0 {
			break
		}
		ms = append(ms, m)
	}
	for len(ms) > count {
		weakest := 0
		for i, m := range ms {
			if m.p.snrDB < ms[weakest].p.snrDB {
				weakest = i
			}
		}
		ms = append(ms[:weakest], ms[weakest+1:]...)
	}
	return ms
}

// glide fits shift(t) = rest + g e^(-2αt) + st to the pitch over time, α tried
// from slow to fast, and returns the relative shift at rest, the glide and the
// standard uncertainty of g from the scatter; without frames enough, no glide. A
// slope, if any is thought of, is believed only where it explains much that a
// glide does not.
func (b bend) glide(slow, fast float64, sloping bool) (rest float64, gl glide, u float64) {
	gl.alpha, u = math.Sqrt(slow*fast), gSpread
	n := len(b.t)
	if n < 4 {
		return 0, gl, u
	}
	best, bestSlope := math.Inf(1), math.Inf(1)
	var slope glide
	var from float64
	for a := slow; a < fast; a *= 1.25 {
		if c := b.fall(a, false); c.ok && c.left < best && c.g > 0 && c.g < mostFall {
			best, rest, gl = c.left, c.rest, glide{g: c.g, alpha: a}
			u = math.Sqrt(max(c.left, 0) / float64(n-2) * c.varG)
		}
		if !sloping {
			continue
		}
		if c := b.fall(a, true); c.ok && c.left < bestSlope && math.Abs(c.g) < mostFall {
			bestSlope, from, slope = c.left, c.rest, glide{g: c.g, alpha: a, slope: c.slope}
		}
	}
	span := b.t[n-1] - b.t[0]
	if sloping && n > 8 && math.Abs(slope.slope)*span > leastSlope && bestSlope*(1+slopeF/float64(n-4)) < best {
		return from, slope, gSpread
	}
	return rest, gl, u
}

const (
	mostFall   = 0.04 // relative, no glide is as deep
	leastSlope = 6e-4 // relative, a cent over the sound: less is no slope to speak of
	slopeF     = 30.0 // by how much a slope must explain more than chance, variance ratio
)

// A curve is a weighted least-squares fit to the pitch over time.
type curve struct {
	rest, g, slope float64
	left, varG     float64 // weighted squares left, and variance of g per such unit
	ok             bool
}

// fall fits rest + g e^(-2at), and a slope if asked.
func (b bend) fall(a float64, sloping bool) (c curve) {
	k := 2
	if sloping {
		k = 3
	}
	A, rhs := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	row := func(t float64) [3]float64 { return [3]float64{1, math.Exp(-2 * a * t), t} }
	for i, t := range b.t {
		r := row(t)
		for p := range k {
			rhs.SetVec(p, rhs.AtVec(p)+b.weight[i]*r[p]*b.shift[i])
			for q := p; q < k; q++ {
				A.SetSym(p, q, A.At(p, q)+b.weight[i]*r[p]*r[q])
			}
		}
	}
	var ch mat.Cholesky
	var d mat.VecDense
	var inv mat.SymDense
	if !ch.Factorize(A) || ch.SolveVecTo(&d, rhs) != nil || ch.InverseTo(&inv) != nil {
		return c
	}
	c = curve{rest: d.AtVec(0), g: d.AtVec(1), varG: inv.At(1, 1), ok: true}
	if sloping {
		c.slope = d.AtVec(2)
	}
	for i, t := range b.t {
		r := row(t)
		e := b.shift[i] - c.rest - c.g*r[1] - c.slope*r[2]
		c.left += b.weight[i] * e * e
	}
	return c
}

// clear lists the frames that can be believed: the sound has not died to a
// thirtieth, and two polarisations do not just cancel, when their phase turns fast.
func (b bend) clear() (c bend) {
	top := 0.0
	for _, w := range b.weight {
		top = max(top, w)
	}
	for i, w := range b.weight {
		if w < top*1e-3 {
			break
		}
		if around := b.weight[max(0, i-6):min(len(b.weight), i+7)]; w < 0.3*slices.Max(around) {
			continue
		}
		c.t, c.shift, c.weight = append(c.t, b.t[i]), append(c.shift, b.shift[i]), append(c.weight, w)
	}
	return c
}

// wander is how far, in relative frequency, the pitch strays from rest + glide at
// its worst, averaged over a few frames so that noise does not count, and the
// standard deviation that noise leaves in such an average.
func (b bend) wander(rest float64, gl glide) (worst, noise float64) {
	const span = 5
	if len(b.t) < 2*span {
		return 0, 0
	}
	c := b.clear()
	left := c.shift
	for i, t := range c.t {
		left[i] -= rest + gl.g*math.Exp(-2*gl.alpha*t)
	}
	jump := 0.0
	for i := 1; i < len(left); i++ {
		jump += (left[i] - left[i-1]) * (left[i] - left[i-1])
	}
	noise = math.Sqrt(jump / float64(2*max(1, len(left)-1)) / span)
	for i := 0; i+span <= len(left); i++ {
		m := 0.0
		for _, v := range left[i : i+span] {
			m += v / span
		}
		worst = max(worst, math.Abs(m))
	}
	return worst, noise
}
