package detect

import "math"

const all = double + shared

// A localStep is what a line's own parameters do: a part of their own, and how
// they answer to each of the shared ones.
type localStep struct {
	n    int // own parameters: single or double
	own  [double]float64
	back [double][shared]float64
	sens [params]float64 // how the law moves its frequency, as fit.sens
}

// after is the step once the shared parameters have moved by d.
func (s *localStep) after(d [shared]float64) [double]float64 {
	v := s.own
	for i := range s.n {
		for j := range d {
			v[i] -= s.back[i][j] * d[j]
		}
	}
	return v
}

// move applies scale times a step to the line's own parameters.
func (l *line) move(v [double]float64, scale, slowest float64) {
	l.amp += complex(scale*v[0], scale*v[1])
	l.alpha = fading(l.alpha, l.alpha+scale*v[2], slowest)
	if l.pair != nil {
		l.eps += complex(scale*v[3], scale*v[4])
		return
	}
	if t := &l.twin; t.on {
		t.amp += complex(scale*v[3], scale*v[4])
		t.alpha = fading(t.alpha, t.alpha+scale*v[5], slowest)
		t.d += scale * v[6]
	}
}

// fading is the decay to which a step goes from another one: no further than it may be
// believed.
func fading(from, to, slowest float64) float64 {
	return min(max(to, from/2, slowest), from*2, 300)
}

// decayPrior is the relative prior standard deviation of a decay about what the
// others suggest.
const decayPrior = 0.7

// twinSpread is the prior standard deviation of two polarisations' difference.
const twinSpread = 0.0023 // relative, 4 cents

// step linearises a line about its present state, solves for what is its own,
// and leaves in info and grad what its bins say about its frequency and about the
// glide. rest must hold what all models together leave. prior is the decay that
// its neighbours suggest, with relative spread.
func (fr *frame) step(l *line, prior, spread float64) localStep {
	return fr.stepOf(l, prior, spread, true)
}

// stepOf is step, which tells of what is shared only where that is asked for.
func (fr *frame) stepOf(l *line, prior, spread float64, sharing bool) localStep {
	n, senses := single, common
	both, count := l.sounds()
	ms := both[:count]
	var cols [all]form
	first := ms[0].columns(rowFirst)
	cols[0], cols[1], cols[2] = first.reAmp, first.imAmp, first.alpha
	hz := first.hz
	switch {
	case l.pair != nil:
		n, senses = coupled, shared
		hz = l.pair.columns(l, &cols, hz, ms[1].columns(rowSecond))
	case l.twin.on:
		n = double
		t := ms[1].columns(rowSecond)
		cols[3], cols[4], cols[5], cols[6] = t.reAmp, t.imAmp, t.alpha, t.hz
		hz = hz.plus(t.hz)
	}
	if sharing {
		cols[n] = hz
		for i, c := range fr.glideColumns() {
			cols[n+1+i] = c
		}
		lead := fr.leadColumns(l, ms)
		cols[n+4], cols[n+5] = lead[0], lead[1]
	} else {
		senses = 0
	}
	total := n + senses
	var m [all][all + 1]float64 // normal equations: own parameters, then shared; right-hand side last
	if fr.sheet == nil {
		fr.sheet = new(sheet)
	}
	s := fr.sheet
	s.read(fr, l, ms, sharing)
	s.multiply(l, fr.seen(l))
	s.normal(&m, cols[:total])
	power := max(real(s.gram[rowLeft][rowLeft]), 0)
	// Noise of power v per bin has v/2 in each of its two dimensions.
	if dof := float64(l.hi-l.lo) - float64(n+1)/2 - 2; dof > 0 {
		l.noise = power / dof
	}
	v := l.noise/2 + 1e-40
	l.snr = sq(l.amp) * m[0][0] / (2 * v)
	l.uAmp = math.Sqrt(v / m[0][0])
	for i := range total {
		for j := range i {
			m[i][j] = m[j][i]
		}
	}
	for i := range total {
		for j := range total + 1 {
			m[i][j] /= v
		}
	}
	hold := func(p int, off, spread float64) {
		w := 1 / (spread * spread)
		m[p][p] += w
		m[p][total] += w * off
	}
	hold(2, prior-l.alpha, prior*spread)
	if c := l.pair; c != nil {
		hold(3, -real(l.eps), c.spread())
		hold(4, -imag(l.eps), c.spread())
	} else if l.twin.on {
		hold(5, prior-l.twin.alpha, prior*spread)
		hold(6, -l.twin.d, twinSpread*l.hz)
	}
	return l.eliminate(&m, n, senses)
}

// inner is the real part of a*·b.
func inner(a, b complex128) float64 { return real(a)*real(b) + imag(a)*imag(b) }

// eliminate solves the line's own n parameters out of its normal equations
// (Gauss–Jordan; they are well scaled and few).
func (l *line) eliminate(m *[all][all + 1]float64, n, senses int) (s localStep) {
	s.n = n
	total := n + senses
	l.occam = 0
	l.info, l.grad = [shared][shared]float64{}, [shared]float64{}
	for p := range n {
		if !(m[p][p] > 0) {
			return localStep{n: n}
		}
		inv := 1 / m[p][p]
		if p >= 2 {
			l.occam -= math.Log(inv) / 2
		}
		pivot := m[p][p : total+1]
		for j := range pivot {
			pivot[j] *= inv
		}
		for i := range total {
			if i == p {
				continue
			}
			row := m[i][p : total+1]
			row = row[:len(pivot)]
			f := row[0]
			for j, v := range pivot {
				row[j] -= f * v
			}
		}
		switch p {
		case 2:
			l.uRate = math.Sqrt(inv)
		case 4: // of no meaning in a coupled pair
			l.twin.uAmp = math.Sqrt(inv)
		}
	}
	for i := range senses {
		for j := range senses {
			l.info[i][j] = m[n+i][n+j]
		}
		l.grad[i] = m[n+i][total]
	}
	for i := range n {
		for j := range senses {
			s.back[i][j] = m[i][n+j]
		}
		s.own[i] = m[i][total]
	}
	return s
}
