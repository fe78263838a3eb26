package detect

import "math"

const (
	lowWithin    = 0.1 // relative, to which the decay of the stretch is known by the lowest partials'
	fitTakes     = 1.5 // times what is left, of a pitch that wavers, when the fit has followed it as far as a glide goes
	coupledTakes = 2.0 // times what is left, of a pitch that wavers, when pairs have taken their part of it for beats
	mostAlien    = 12. // cents, of a glide that is not the string's own, that may be left
	mostStray    = 1.5 // cents, root mean square, by which a pitch may waver about its glide
)

// alien is how far, relative, the fit has carried the pitch at rest beyond what was
// heard on the strength of a glide that is not the string's own: one that rises, or
// that dies at another rate than the stretch of the string, which goes with the square
// of the swing. Such a motion may stop anywhere between where it was when the sound
// died and where the fit has it end. It is 0 for a glide of the string's own, and
// signed as the glide is.
func (f *fit) alien() float64 {
	low := f.lowDecay()
	if low == 0 || f.gl.g == 0 {
		return 0
	}
	ug, uln := math.Sqrt(f.cov.At(2, 2)), math.Sqrt(f.cov.At(3, 3))
	odd := 1.0
	if f.gl.g > 0 {
		off := max(math.Log(f.gl.alpha/low), math.Log(f.leastDecay(low)/f.gl.alpha))
		odd = normalCDF((off - math.Log(glideTie)) / math.Hypot(uln, lowWithin))
		if f.tied && (f.gl.alpha < f.slowest*1.01 || f.gl.alpha > f.fastest/1.01) {
			odd = 1 // it would have gone further still
		}
	}
	there := normalCDF(math.Abs(f.gl.g)/ug - 3)
	return odd * there * f.gl.g * math.Exp(-2*f.gl.alpha*min(f.secs, 1/low))
}

// leastDecay is that of the fundamental, 1/s, where the lowest partials heard die as
// low: what is not heard below them dies more slowly, by the square of the number.
func (f *fit) leastDecay(low float64) float64 {
	heard := f.heard()
	if len(heard) < 2 {
		return low
	}
	a, b := heard[0], heard[1]
	na, nb := float64(a.n*a.n), float64(b.n*b.n)
	first := a.alpha - (b.alpha-a.alpha)*(na-1)/(nb-na)
	return min(low, max(first, 0.3*low))
}

// watch looks at what a string at rest would not do.
func (p *Pluck) watch(f *fit) {
	trails := f.trails()
	p.alien, p.stray, p.faded, p.fall = f.alien(), newMotion(trails).stray(), faded(trails), fall(trails)
	if f.pair != nil {
		p.stray *= coupledTakes
	}
}

// unsettle widens what is said of a string by what its pitch does that a string's at
// rest does not, each partial hearing of it for as long as it lasts, and by hum.
func (p *Pluck) unsettle(l *listener, f *fit) {
	stray := fitTakes * p.stray
	u := math.Hypot(math.Abs(p.alien), stray)
	if p.alien > 0 {
		// Half-way between where it was heard last and where the fit has it end, as far
		// as it was followed there. One that rises was not carried on.
		up := math.Exp(p.alien / 2 * min(p.GlideCents*cent/f.gl.g, 1))
		p.F0.V, p.F1.V = p.F0.V*up, p.F1.V*up
		u = math.Hypot(p.alien/2*min(p.mayGlide/f.gl.g, 1), stray)
	}
	pull := l.humPull(f)
	hum, humB := pull[0], pull[1]
	told := p.F0.U * p.B.U
	p.F0.U = math.Hypot(p.F0.U, math.Hypot(u, hum)*p.F0.V)
	p.F1.U = math.Hypot(p.F1.U, math.Hypot(u, hum)*p.F1.V)
	p.B.U = math.Hypot(p.B.U, math.Hypot(u*f.tilt(), humB))
	p.Corr *= told / (p.F0.U*p.B.U + 1e-300) // what widens the two is taken for independent
}

// tilt is by how much B moves where every partial is off by a relative unit of its
// own: the weighted regression of their departures on a constant and n²/2.
func (f *fit) tilt() float64 {
	var s0, s2, s4 float64
	type point struct{ x, w float64 }
	var ps []point
	for _, l := range f.heard() {
		u := math.Hypot(l.own().U/l.hz, f.tau)
		x, w := float64(l.n*l.n)/2/(1+f.b*float64(l.n*l.n)), 1/(u*u)
		ps = append(ps, point{x, w})
		s0, s2, s4 = s0+w, s2+w*x, s4+w*x*x
	}
	det := s0*s4 - s2*s2
	if len(ps) < 2 || !(det > 1e-12*s0*s4) {
		return 0
	}
	sum := 0.0
	for _, p := range ps {
		c := p.w * (s0*p.x - s2) / det
		sum += c * c
	}
	return math.Sqrt(sum)
}
