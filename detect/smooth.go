package detect

// What leaks into a line's bins from afar, of rumble or an attack, is smooth there and no
// noise: a straight line through the band. To take that out of everything where there is
// none costs a tenth of what the band tells, so it is taken out by the share that it
// surely is of what is left there, all of it until that is known.

const (
	smoothOver  = 1.0 // power over the noise's from which what is smooth is more than noise
	smoothStill = 0.1 // change of a share that matters
)

// place is where bin k lies in the line's band, from its middle, in bins.
func (l *line) place(k int) float64 { return float64(k) - float64(l.lo+l.hi-1)/2 }

// spread is the number of the line's bins and the sum of the squares of their places.
func (l *line) spread() (s00, s11 float64) {
	n := float64(l.hi - l.lo)
	return n, max(n*(n*n-1)/12, 1)
}

// smooth is by how much of the squares of sums over a line's bins, and of sums by place,
// what is smooth in them is taken out.
func (l *line) smooth() (c0, c1 float64) {
	s00, s11 := l.spread()
	return (1 - l.bare[0]) / s00, (1 - l.bare[1]) / s11
}

// A band is what all models leave in a line's bins: its power, its sum, and its sum by
// place.
type band struct {
	power  float64
	s0, s1 complex128
}

// band is that of a line, by its view if there is one.
func (fr *frame) band(l *line) band {
	if v := fr.seen(l); v != nil {
		return v.band()
	}
	return bandOf(fr.rest[l.lo:l.hi])
}

// bandOf is that of what is in the bins of a band.
func bandOf(rest []complex128) (b band) {
	place := -float64(len(rest)-1) / 2
	for _, r := range rest {
		b.power += sq(r)
		b.s0 += r
		b.s1 += complex(place*real(r), place*imag(r))
		place++
	}
	return b
}

// left is the power that all models leave in a line's bins, what is taken for smooth not
// counted.
func (fr *frame) left(l *line) float64 {
	b := fr.band(l)
	c0, c1 := l.smooth()
	return max(b.power-c0*sq(b.s0)-c1*sq(b.s1), 0)
}

// findLeaks tells anew what is smooth in a line's bins by what all models leave there, as
// far as that is more than noise would be (a positive-part shrinkage: James & Stein 1961),
// and whether that has changed.
func (fr *frame) findLeaks(l *line) (changed bool) {
	b := fr.band(l)
	s00, s11 := l.spread()
	flat, tilt := sq(b.s0)/s00, sq(b.s1)/s11
	noise := smoothOver * max(b.power-flat-tilt, 0) / max(s00-4, 1)
	for i, power := range [2]float64{flat, tilt} {
		bare := 1.0
		if power > noise {
			bare = noise / power
		}
		changed = changed || bare-l.bare[i] > smoothStill || l.bare[i]-bare > smoothStill
		l.bare[i] = bare
	}
	return changed
}
