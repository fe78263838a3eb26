package detect

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

const (
	trailHop   = 0.02   // s
	trailHalf  = 20.0   // Hz on each side of a partial that are listened to, or more
	trailWide  = 0.03   // of its frequency
	trailDies  = 0.03   // of its greatest amplitude, below which a partial is not followed
	trailOver  = 4.0    // power over the noise, likewise
	trailReach = 1.25   // over the band's half width, s, by which its response reaches beyond the ends
	trailLines = 12     // partials that are followed
	trailTop   = 3000.0 // Hz above which a pitch that moves would outrun the hops
)

// A trail is one partial through the window: how far its phase runs ahead of what
// the fit says it does, and how loud it is.
type trail struct {
	hz    float64
	edge  int       // hops at either end at which the window's other end is heard
	phase []float64 // rad, at each hop
	level []float64 // of the partial, nepers
	power []float64 // of the partial over that of the noise in its band; 0 where it cannot be followed
}

// trail brings line l to base band: the spectrum about it under a raised cosine,
// back in time, against what the fit says it does.
func (f *fit) trail(l *line) trail {
	fr := f.fr
	bin := fr.rate / float64(fr.n)
	half := min(max(trailHalf, trailWide*l.hz), 0.8*f.f0)
	mid := l.hz / bin
	lo, hi := max(1, int(mid-half/bin)+1), min(len(fr.spec)-1, int(mid+half/bin))
	taper := make([]float64, hi-lo+1)
	band := 0.0
	for k := range taper {
		taper[k] = 0.5 + 0.5*math.Cos(math.Pi*(float64(lo+k)-mid)*bin/half)
		band += taper[k] * taper[k]
	}
	hops := int(fr.secs()/trailHop) + 1
	edge := int(trailReach/half/trailHop) + 1
	tr := trail{l.hz, edge, make([]float64, hops), make([]float64, hops), make([]float64, hops)}
	noise := l.noise*band + 1e-40
	top, last := 0.0, cmplx.Rect(1, 0)
	for i := edge; i < hops-edge; i++ {
		t := float64(i) * trailHop
		var y complex128
		turn := cmplx.Rect(1, 2*math.Pi*bin*t)
		c := cmplx.Rect(1, 2*math.Pi*bin*t*(float64(lo)-mid))
		for k := range taper {
			y += complex(taper[k], 0) * fr.spec[lo+k] * c
			c *= turn
		}
		var m complex128
		for _, d := range l.modes() {
			m += d.amp * cmplx.Rect(math.Exp(-d.alpha*t), 2*math.Pi*(d.hz-l.hz)*t)
		}
		m *= complex(float64(fr.n)/2, 0)
		r := y * cmplx.Conj(m)
		tr.phase[i] = cmplx.Phase(r * cmplx.Conj(last))
		if i > edge {
			tr.phase[i] += tr.phase[i-1]
		}
		last = r / complex(cmplx.Abs(r)+1e-300, 0)
		a := min(sq(y), sq(m))
		tr.level[i] = math.Log(sq(y)+1e-300) / 2
		top = max(top, a)
		if a > trailDies*trailDies*top && a > trailOver*noise {
			tr.power[i] = a / noise
		}
	}
	return tr
}

// followed picks the partials that tell most of the pitch over time.
func (f *fit) followed() []*line {
	var ls []*line
	for _, l := range f.heard() {
		if l.hz > trailTop && len(ls) > 0 {
			break
		}
		ls = append(ls, l)
	}
	slices.SortFunc(ls, func(a, b *line) int { return cmp.Compare(b.snr*b.hz*b.hz, a.snr*a.hz*a.hz) })
	return ls[:min(len(ls), trailLines)]
}

// trails follows them through the window of a finished fit.
func (f *fit) trails() []trail {
	var ts []trail
	for _, l := range f.followed() {
		ts = append(ts, f.trail(l))
	}
	return ts
}
