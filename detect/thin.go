package detect

import "slices"

const (
	leastThin  = 6000.0 // Hz, rate to which sound is thinned at most: the onset keeps its place
	thinMargin = 1.06   // over the highest partial: what a glide and a rough law may add
)

// thinned is a listener to the same take at a rate that carries what the string of h
// sounds and not much more: a low string's fit is then over in a fraction of the time. What
// else is in h lies within.
func (l *listener) thinned(h hypothesis) (*listener, hypothesis) {
	if l.mass != nil || len(h.matches) == 0 {
		return l, h
	}
	highest := int(missingReach*float64(h.matches[len(h.matches)-1].n) + 1) // to which others are looked for
	d := int(0.42 * l.rate / (thinMargin * h.hz(highest)))
	d = min(d, int(l.rate/leastThin))
	if d < 2 {
		return l, h
	}
	if l.thin[d] == nil {
		t := *l
		t.factor = d
		t.x, t.rate = thin(l.x, l.rate, d)
		t.top = min(l.top, 0.42*t.rate)
		l.thin[d] = &t
	}
	t := l.thin[d]
	h.strays = slices.DeleteFunc(slices.Clone(h.strays), func(p peak) bool { return p.hz > t.top })
	return t, h
}
