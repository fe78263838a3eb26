package course

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"pluckweigh/detect"
)

// A String is one of two that were plucked together.
type String struct {
	F0, F1, B  detect.Value
	Corr       float64 // of F0 and B
	LevelDB    float64 // of its loudest partial at the onset, dB re full scale
	GlideCents float64
	Partials   int // heard
}

// A Pair is what was heard of two strings.
type Pair struct {
	Low, High String
	// Split is how far the upper lies above the lower, cents, or above its octave.
	Split detect.Value
	// Gain is by how much two strings explain the sound better than one does, nats; only
	// where their notes are the same.
	Gain float64
	// Left is what they leave unexplained of the sound about their partials, dB, and Share is
	// how much of the power of all sound they explain.
	Left, Share float64

	unshared int // partials of the lower that are none of the upper's
}

const (
	lead = 0.08 // s after the onset, when the noise of plucking is over
	last = 3.0  // s after it that are looked at
	// few, more and most are how many partials are fitted, one after the other.
	few, more, most = 3, 6, 12
	topHz           = 5000.0
	// fewestMoments is the least number of moments of a band that tell two lines from one.
	fewestMoments = 12
)

// Part hears the two strings of a course that were plucked at onset, s, in x, and rang until
// end. Their notes are given, Hz, the lower first, and how far each may be out of tune, cents.
// It is false where there are not two that can be parted.
func Part(x []float64, rate, onset, end float64, notes [2]float64, out float64) (Pair, bool) {
	to := min(end-onset, last)
	if to-lead < 0.5 || !(notes[0] > 0) || !(notes[1] >= notes[0]) {
		return Pair{}, false
	}
	c := newCutter(x, rate, onset, lead, to, notes[0]*math.Exp2(-out/1200))
	if len(c.at) < fewestMoments {
		return Pair{}, false
	}
	spectrum := newComb(x, rate, onset+lead, onset+to)
	low, high := spectrum.best(notes[0], out), spectrum.best(notes[1], out)
	if len(low) == 0 || len(high) == 0 {
		return Pair{}, false
	}
	unison := notes[1]/notes[0] < 1.2
	var starts [][]float64
	for _, a := range low {
		for _, b := range high {
			if !unison || b > a {
				starts = append(starts, []float64{a, b})
			}
		}
	}
	var single *model
	if unison {
		for _, d := range []float64{2, 5, 10} {
			up := math.Exp2(d / 1200)
			starts = append(starts, []float64{low[0] / up, low[0]}, []float64{low[0], low[0] * up}, []float64{low[0] / math.Sqrt(up), low[0] * math.Sqrt(up)})
		}
		var ones [][]float64
		for _, a := range low {
			ones = append(ones, []float64{a})
		}
		single = c.likeliest(ones)
	}
	m := c.likeliest(starts)
	p, ok := m.pair()
	if !ok {
		return p, false
	}
	if single != nil {
		single.finish()
		p.Gain = single.unlikely() - m.unlikely()
	}
	return p, p.sure(unison)
}

// Stands is how far partials of the two notes stand out of what follows onset, dB summed: the
// more, the likelier it is that course, of several. Arguments are those of Part.
func Stands(x []float64, rate, onset, end float64, notes [2]float64, out float64) float64 {
	to := min(end-onset, last)
	if to-lead < 0.5 {
		return 0
	}
	spectrum := newComb(x, rate, onset+lead, onset+to)
	sum := 0.0
	for _, note := range notes {
		if best := spectrum.best(note, out); len(best) > 0 {
			sum += spectrum.score(best[0])
		}
	}
	return sum
}

// likeliest fits models from all starts, and the likelier the further.
func (c *cutter) likeliest(starts [][]float64) *model {
	type tried struct {
		m    *model
		left float64
	}
	var all []tried
	cuts := &model{c: c} // bands are cut once
	for _, s := range starts {
		m := &model{c: c, bands: cuts.bands}
		for _, f := range s {
			m.laws = append(m.laws, law{f0: f, b: priorB / 2, fades: 2})
		}
		m.populate(few, topHz)
		cuts.bands = append(cuts.bands, m.bands...)
		m.even()
		all = append(all, tried{m, m.fit(8).left})
	}
	for i, count := range []int{more, most} {
		slices.SortFunc(all, func(a, b tried) int { return cmp.Compare(a.left, b.left) })
		all = all[:min(len(all), 4-2*i)]
		for k := range all {
			all[k].m.populate(count, topHz)
			all[k].m.even()
			all[k].left = all[k].m.fit(15).left
		}
	}
	best := slices.MinFunc(all, func(a, b tried) int { return cmp.Compare(a.left, b.left) })
	return best.m
}

// even weighs all bands alike, by what is heard in them: starts are compared so.
func (m *model) even() {
	for _, b := range m.bands {
		sum := 1e-20
		for _, v := range b.y {
			sum += real(v)*real(v) + imag(v)*imag(v)
		}
		b.noise = 0.01 * sum / float64(len(b.y))
	}
}

// finish weighs each band by what is left in it, leaves out partials that are not heard, and
// returns the equations of the last step.
func (m *model) finish() solution {
	var s solution
	for range 4 {
		for k := range m.laws {
			m.laws[k].fades = 2 * m.slowest(k)
		}
		for i, b := range m.bands {
			b.noise = max(1e-20, m.rest(i)/float64(len(b.y)))
		}
		m.drop()
		s = m.fit(10)
	}
	return s
}

// slowest is how fast the lowest partial of a string dies that is heard, 1/s.
func (m *model) slowest(of int) float64 {
	for _, l := range m.lines {
		if l.string == of {
			return max(0.2, l.alpha)
		}
	}
	return 1
}

// rest is the power that is left in a band.
func (m *model) rest(i int) float64 {
	alone := model{c: m.c, bands: m.bands, laws: m.laws, lines: m.lines}
	var s solution
	was := m.bands[i].noise
	m.bands[i].noise = 1 / dependent
	alone.solveBand(i, m.bands[i], &s)
	m.bands[i].noise = was
	return s.left
}

// heardSigmas is by how many standard deviations a partial stands out that is heard.
const heardSigmas = 6

func (m *model) drop() {
	keep := m.lines[:0:0]
	for _, l := range m.lines {
		if m.energy(l) > heardSigmas*heardSigmas*m.bands[l.band].noise*dependent {
			keep = append(keep, l)
		}
	}
	m.lines = keep
}

// energy is that of a line over its band's moments.
func (m *model) energy(l line) float64 {
	a := real(l.amp)*real(l.amp) + imag(l.amp)*imag(l.amp)
	sum := 0.0
	for _, t := range m.c.at {
		sum += math.Exp(-2 * l.alpha * t)
	}
	return a * sum
}

// unlikely is minus the logarithm of the likelihood, each band's noise being what is left in
// it.
func (m *model) unlikely() float64 {
	sum := 0.0
	for i, b := range m.bands {
		sum += float64(len(b.y)) / dependent * math.Log(max(m.rest(i), 1e-30))
	}
	return sum
}

// A string's own two directions of vibration, and what else its partials do that no law has,
// make its pitch here differ from that of the one heard best: by directions, and by
// unexplained as far as sound is left over, cents (k = 1). On simulated strings that is far
// more than seen; recorded ones played together ask for it.
const directions, unexplained = 0.15, 2.5

// halves is by how much each string's pitch differs between the halves of the window, cents.
func (m *model) halves() (by [2]float64) {
	var f [2][2]float64
	mid := len(m.c.at) / 2
	for h := range f {
		c := *m.c
		c.at = m.c.at[:mid]
		if h == 1 {
			c.at = m.c.at[mid:]
		}
		half := &model{c: &c, laws: slices.Clone(m.laws), lines: slices.Clone(m.lines)}
		for _, b := range m.bands {
			part := &band{hz: b.hz, noise: b.noise, y: b.y[:mid]}
			if h == 1 {
				part.y = b.y[mid:]
			}
			half.bands = append(half.bands, part)
		}
		half.fit(10)
		for k, l := range half.laws {
			f[h][k] = l.hz(1)
		}
	}
	for k := range m.laws {
		by[k] = cent * math.Abs(math.Log(f[0][k]/f[1][k]))
	}
	return by
}

// pair is what the model says of two strings.
func (m *model) pair() (Pair, bool) {
	s := m.finish()
	var ch mat.Cholesky
	var inverse mat.SymDense
	if !ch.Factorize(s.normal) || ch.InverseTo(&inverse) != nil {
		return Pair{}, false
	}
	left, all := 0.0, 0.0
	for i, b := range m.bands {
		left += m.rest(i)
		for _, v := range b.y {
			all += real(v)*real(v) + imag(v)*imag(v)
		}
	}
	wanders := m.halves()
	var of [2]String
	for k, l := range m.laws {
		x := &of[k]
		x.LevelDB = -300
		for _, i := range m.lines {
			if i.string == k {
				x.Partials++
				x.LevelDB = max(x.LevelDB, 10*math.Log10(real(i.amp)*real(i.amp)+imag(i.amp)*imag(i.amp)+1e-30))
			}
		}
		at := shared * k
		vf, vb, vfb := inverse.At(at, at), inverse.At(at+1, at+1), inverse.At(at, at+1)
		floor := math.Hypot(directions+unexplained*left/all, wanders[k]/2) / cent
		vf += floor * floor
		x.F0 = detect.Value{V: l.f0, U: l.f0 * math.Sqrt(vf)}
		x.B = detect.Value{V: l.b, U: math.Sqrt(vb)}
		x.Corr = vfb / math.Sqrt(vf*vb)
		d := 1 / (2 * (1 + l.b)) // of log F1 by B
		x.F1 = detect.Value{V: l.hz(1), U: l.hz(1) * math.Sqrt(max(vf+2*d*vfb+d*d*vb, floor*floor))}
		x.GlideCents = l.glide * cent
	}
	octave := math.Round(math.Log2(of[1].F1.V / of[0].F1.V))
	p := Pair{Low: of[0], High: of[1]}
	p.Split.V = cent*math.Log(of[1].F1.V/of[0].F1.V) - 1200*octave
	p.Split.U = cent * math.Hypot(of[0].F1.U/of[0].F1.V, of[1].F1.U/of[1].F1.V)
	if p.Low.F0.V > p.High.F0.V {
		p.Low, p.High, p.Split.V = p.High, p.Low, -p.Split.V
	}
	p.Left = 10 * math.Log10(left/all)
	power := 0.0
	of0 := int(m.c.onset*m.c.rate) + int(lead*m.c.rate)
	part := m.c.x[of0:min(len(m.c.x), of0+len(m.c.at)*m.c.hop)]
	for _, v := range part {
		power += v * v / float64(len(part))
	}
	p.Share = (all - left) / float64(len(m.c.at)) / 2 / power
	for _, l := range m.lines {
		if m.laws[l.string].f0 == p.Low.F0.V && l.n%2 == 1 {
			p.unshared++
		}
	}
	return p, true
}

const (
	// farther is how far apart two strings of one note must be, or off the octave, cents.
	// Recorded notes of one string, its partials being on no law, pass for two that are up to
	// 9 cents apart.
	farther = 10.0
	// fainter is by how much one may be fainter, dB: what rings along is.
	fainter = 20.0
	// leastGain, nats, is more than the second direction of a single string brings.
	leastGain  = 300.0
	leastHeard = 4    // partials of each of one note
	mostLeft   = -8.0 // dB
	leastShare = 0.5
	mostU      = 0.6 // cents
)

// sure tells whether it is beyond doubt that these are two strings.
func (p Pair) sure(unison bool) bool {
	u := cent * max(p.Low.F1.U/p.Low.F1.V, p.High.F1.U/p.High.F1.V)
	ok := math.Abs(p.Split.V) > farther && u < mostU && math.Abs(p.Low.LevelDB-p.High.LevelDB) < fainter && p.Left < mostLeft && p.Share > leastShare
	if unison {
		return ok && p.Gain > leastGain && min(p.Low.Partials, p.High.Partials) >= leastHeard
	}
	return ok && p.unshared >= 3 && p.High.Partials >= 2
}
