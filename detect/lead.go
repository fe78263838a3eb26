package detect

import "math"

// What records a string cuts off the lowest frequencies: a microphone, a coupling
// capacitor, a filter against rumble. Partials above such a corner run ahead of their
// phase, the more the nearer to it; one that glides moves in that, so that its phase turns
// by a little as the glide dies. Where low partials glide far that would be taken for
// another pitch of theirs, and for inharmonicity.
//
// Any filter's lead goes with 1/f far above its corner; nearer to it orders and corners
// differ, in the next place by 1/f³.
type lead struct{ far, near float64 } // rad

const (
	leadCorner = 100.0 // Hz, a usual corner (common practice, no source)
	leadSpread = 2.0   // rad, prior standard deviation of either part: two poles at the corner are about 1.4
)

// leading is by how much the phase of a partial at hz turns as it glides from where it
// rests by the natural logarithm of its frequency, for a lead of either part alone: for
// the first the derivative of what one pole at the corner, arctan(corner/hz), makes of it.
func leading(hz float64) lead {
	x := hz / leadCorner
	one := -x / (1 + x*x)
	return lead{one, one / (1 + x*x)}
}

// turned is by what angle the lead of the recording turns a partial at hz when its glide
// begins; it dies with that.
func (gl glide) turned(hz float64) float64 {
	s := leading(hz)
	return (gl.lead.far*s.far + gl.lead.near*s.near) * gl.g
}

// leadColumns are the derivatives of a line's spectrum by the lead: all its modes, as they
// die faster by the glide's own decay, which is what the glide's row lacks of theirs.
func (fr *frame) leadColumns(l *line, ms []mode) [2]form {
	var f form
	for i, m := range ms {
		f[2*i] = 0.5 * m.amp
	}
	f[rowGlide] = complex(-fr.now.alpha/(math.Pi*l.hz), 0)
	s := leading(l.hz)
	return [2]form{f.times(complex(0, s.far*fr.now.g)), f.times(complex(0, s.near*fr.now.g))}
}
