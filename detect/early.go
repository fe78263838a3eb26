package detect

import (
	"math"
	"math/cmplx"
)

const (
	earliest  = 0.002 // s after the onset from which a pluck's sound may be its partials': the onset is known to half of that or less,
	earlier   = 0.006 // and where an attack still rings then
	earlyNats = 4.0   // by which the noise about the partials may grow with it,
	earlyZ    = 2.0   // and standard deviations of what it may by chance
)

// early is the fit from nearer the onset, start, where the string's partials explain
// what sounds there as well as what follows; f where they do not, for a plectrum's or a
// finger's own sound.
func (f *fit) early(start float64) *fit {
	for _, after := range [...]float64{earliest, earlier} {
		d := f.sound.from - int((start+after)*f.sound.rate)
		if d <= 0 || d > f.sound.from {
			continue
		}
		g := f.since(d)
		if more, chance := f.noisier(g); more < earlyNats+earlyZ*chance {
			return g
		}
	}
	return f
}

// since is the fit of a window that begins d samples earlier.
func (f *fit) since(d int) *fit {
	g := f.clone()
	g.frozen = false
	g.sound.from -= d
	t := float64(d) / g.sound.rate
	g.secs += t
	g.gl.g *= math.Exp(2 * g.gl.alpha * t)
	g.hint.g *= math.Exp(2 * g.hint.alpha * t)
	back := t + g.gl.ahead(t)
	for _, l := range g.lines {
		if l.out && l.amp == 0 {
			l.out = false // it may be heard now
		}
	}
	for _, l := range append(g.used(), g.strays...) {
		l.amp *= cmplx.Exp(complex(l.alpha*t, -2*math.Pi*l.hz*back))
		l.twin.amp *= cmplx.Exp(complex(l.twin.alpha*t, -2*math.Pi*(l.hz+l.twin.d)*back))
	}
	for range 4 {
		g.load()
		g.solve(doneStep)
		if g.complete(f.top) {
			g.solve(doneStep)
		}
		if g.straight() {
			break
		}
	}
	return g
}

// noisier is by how many nats g, over much the same time, leaves more noise about the
// partials than f, and the standard deviation of what that is by chance: white noise of
// two windows that share all but a part of their samples.
func (f *fit) noisier(g *fit) (more, chance float64) {
	bins := 0.0
	for i, l := range f.lines {
		if m := g.lines[i]; l.used && m.used {
			n := float64(m.hi - m.lo)
			bins += n
			more += n * math.Log((m.noise/float64(g.fr.n)+1e-40)/(l.noise/float64(f.fr.n)+1e-40))
		}
	}
	from := max(f.sound.from, g.sound.from)
	to := min(f.sound.from+f.fr.n, g.sound.from+g.fr.n)
	apart := 1 - float64(to-from)/float64(max(f.fr.n, g.fr.n))
	return more, math.Sqrt(4 * bins * apart)
}
