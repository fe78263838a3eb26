package detect

import "math"

// A step that changes how the two modes of a coupled pair share their sound leaves, to first
// order, what both make together; beyond that it does not, and what they make together is
// known so well that steps would have to be short. So what they make together takes the step,
// and the modes are what makes that.

// nudge is a part of a step, by which its direction is found.
const nudge = 1e-4

// A centre is what a line's two modes make together: their amplitude, and how fast it dies at
// the window's start.
type centre struct {
	amp   complex128
	alpha float64
}

// leastSum is the least that two amplitudes may leave of one for them to be taken together.
const leastSum = 0.2

// together is what the modes of a line make together, in units of the first one's. Where
// lines have ratios of their own each is moved by itself.
func (c *coupling) together(l *line) (of centre, ok bool) {
	q := c.of(l) * c.grown(l)
	of.amp = 1 + q
	of.alpha = 1 + real(q/of.amp)*math.Expm1(c.decay)
	return of, !c.free && sq(of.amp) > leastSum*leastSum && of.alpha > leastSum
}

// share is the second mode's of the sound, where it is the same for all lines.
func (c *coupling) share() float64 {
	if c.free || c.ratio < leastSum-1 {
		return 0
	}
	return c.ratio / (1 + c.ratio)
}

// moveTogether is move for a line of a coupled pair, whose coupling goes from one to another, by way of via,
// which is a nudge away.
func (l *line) moveTogether(v [double]float64, scale, slowest float64, from, via, to *coupling) {
	was, near := *l, *l
	near.move(v, nudge*scale, 0)
	l.move(v, scale, slowest)
	a, ok0 := from.together(&was)
	b, ok1 := via.together(&near)
	c, ok2 := to.together(l)
	if !ok0 || !ok1 || !ok2 {
		return
	}
	amp := was.amp * a.amp
	l.amp = (amp + (near.amp*b.amp-amp)/nudge) / c.amp
	alpha := was.alpha * a.alpha
	alpha = (alpha + (near.alpha*b.alpha-alpha)/nudge) / c.alpha
	l.alpha = fading(was.alpha, alpha, slowest)
}

// recouple moves what couples the modes by a step, and f0 with it: of what they make together
// the pitch takes the step, and how much it is spread.
func (f *fit) recouple(lf, split, ratio, decay, late float64) (from, via coupling) {
	from, via = *f.pair, *f.pair
	via.move(nudge*split, nudge*ratio, nudge*decay, nudge*late)
	to := f.pair
	to.move(split, ratio, decay, late)
	spread := func(c *coupling) float64 { p := c.share(); return p * (1 - p) }
	if s0, s1, s2 := spread(&from), spread(&via), spread(to); s0 > 0.01 && s2 > 0.01 && from.split != 0 {
		// What is spread is told by its square.
		grow := (s1*via.split*via.split/(s0*from.split*from.split) - 1) / nudge
		if wide := (1 + grow) * s0 / s2; wide > 0.25 && wide < 4 && to.split*from.split > 0 {
			to.split = from.split * math.Sqrt(wide)
		}
	}
	pitch := func(c *coupling) float64 { return math.Log1p(c.split * c.share()) }
	f.f0 *= math.Exp(lf + (pitch(&via)-pitch(&from))/nudge + pitch(&from) - pitch(to))
	return from, via
}
