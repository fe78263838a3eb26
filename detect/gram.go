package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// What a line's modes do at its bins: all that its equations hold is sums of these few
// rows, so that only the rows' inner products are worked out over the bins.
const (
	rowFirst  = iota             // the first mode at unit amplitude, and, in the next, times time, s
	rowSecond = 2 * iota         // the second mode likewise
	rowGlide  = iota + rowSecond // both, by how their phase runs ahead with the glide's g,
	rowRate                      // its ln α over g,
	rowSlope                     // and a slope
	rowLeft                      // what all models leave
	rowCount
)

// A form is a sum of rows.
type form [rowLeft]complex128

// of is z times a row.
func of(row int, z complex128) (f form) {
	f[row] = z
	return f
}

func (f form) times(z complex128) form {
	for p := range f {
		f[p] *= z
	}
	return f
}

func (f form) plus(g form) form {
	for p := range f {
		f[p] += g[p]
	}
	return f
}

// columns are the derivatives of a mode's spectrum by amplitude (two parts), decay and
// frequency.
type columns struct{ reAmp, imAmp, alpha, hz form }

// columns are those of a mode whose rows begin at row.
func (m mode) columns(row int) columns {
	return columns{of(row, 0.5), of(row, 0.5i), of(row+1, -0.5*m.amp), of(row+1, m.amp*complex(0, math.Pi))}
}

// glideColumns are the derivatives of a line's spectrum by the glide's g, its ln α, and a
// steady slope of the pitch, relative per second.
func (fr *frame) glideColumns() [3]form {
	return [3]form{of(rowGlide, 1i), of(rowRate, complex(0, fr.now.g)), of(rowSlope, 1i)}
}

// A sheet holds the rows of one line, real parts first and then imaginary ones, and their
// inner products.
type sheet struct {
	row    [rowCount][]float64
	n      int // numbers to a row, complex ones: the line's bins, or its view's
	places []float64
	turned []float64
	in     []int // rows in use
	gram   [rowCount][rowCount]complex128
}

// read fills in the rows of a line of modes ms: those in use, the others being nothing, and
// of those that are shared none unless sharing.
func (s *sheet) read(fr *frame, l *line, ms []mode, sharing bool) {
	n := l.hi - l.lo
	v := fr.seen(l)
	if v != nil {
		n = len(v.at)
	}
	s.n = n
	for p := range s.row {
		if cap(s.row[p]) < 2*n {
			s.row[p] = make([]float64, 2*n)
		}
		s.row[p] = s.row[p][:2*n]
	}
	s.in = append(s.in[:0], rowFirst, rowFirst+1)
	if len(ms) > 1 {
		s.in = append(s.in, rowSecond, rowSecond+1)
	}
	if sharing {
		s.in = append(s.in, rowGlide)
		if fr.now.g != 0 {
			s.in = append(s.in, rowRate)
		}
		if fr.sloping {
			s.in = append(s.in, rowSlope)
		}
	}
	s.in = append(s.in, rowLeft)
	if v != nil {
		s.readView(v, ms, sharing)
		return
	}
	for i, m := range ms {
		s.mode(fr, l, m, i, sharing)
	}
	re, im := s.row[rowLeft][:n], s.row[rowLeft][n:]
	for k, r := range fr.rest[l.lo:l.hi] {
		re[k], im[k] = real(r), imag(r)
	}
}

// mode fills in what mode m, the i-th of the line, does.
func (s *sheet) mode(fr *frame, l *line, m mode, i int, sharing bool) {
	n := l.hi - l.lo
	exp := m.exponent(fr.rate)
	base, dying := newGeometric(exp, fr.n), fr.now.shifted(exp, fr)
	perRate, perDecay := complex(1/fr.rate, 0), complex(1/(2*fr.now.alpha), 0)
	turns := m.amp * complex(math.Pi*m.hz, 0)
	slopes := turns * complex(1/(2*fr.rate*fr.rate), 0)
	set := func(p int, k int, z complex128) {
		if i > 0 && p >= rowGlide {
			s.row[p][k] += real(z)
			s.row[p][n+k] += imag(z)
			return
		}
		s.row[p][k], s.row[p][n+k] = real(z), imag(z)
	}
	rated := fr.now.g != 0
	for k, w := range fr.tw[l.lo:l.hi] {
		G, D, E := base.upTo(w, fr.sloping)
		set(2*i, k, G)
		D *= perRate
		set(2*i+1, k, D)
		if !sharing {
			continue
		}
		if rated {
			G2, D2 := dying.sums(w)
			ahead := (G - G2) * perDecay // ∫ e^(-2αt) dt, as the glide's phase runs ahead
			set(rowGlide, k, turns*ahead)
			set(rowRate, k, turns*(D2*perRate-ahead))
		} else {
			set(rowGlide, k, turns*(G-dying.sum(w))*perDecay)
		}
		if fr.sloping {
			set(rowSlope, k, slopes*E)
		}
	}
}

// readView is read by the line's view.
func (s *sheet) readView(v *view, ms []mode, sharing bool) {
	n := s.n
	rated := sharing && v.now.g != 0
	sloping := sharing && v.fr.sloping
	for i, m := range ms {
		e := v.pulses[i].e[:n]
		turns := m.amp * complex(math.Pi*m.hz*v.n, 0)
		one, time := s.row[2*i], s.row[2*i+1]
		glide, rate, slope := s.row[rowGlide], s.row[rowRate], s.row[rowSlope]
		for j, e := range e {
			re, im, t := v.n*real(e), v.n*imag(e), v.t[j]
			one[j], one[n+j], time[j], time[n+j] = re, im, t*re, t*im
		}
		if !sharing {
			continue
		}
		if i == 0 {
			clear(glide)
			clear(rate)
			clear(slope)
		}
		for j, e := range e {
			z := turns * e
			re, im := real(z), imag(z)
			glide[j] += v.g[j] * re
			glide[n+j] += v.g[j] * im
			if rated {
				rate[j] += v.lnA[j] * re
				rate[n+j] += v.lnA[j] * im
			}
			if sloping {
				slope[j] += v.half[j] * re
				slope[n+j] += v.half[j] * im
			}
		}
	}
	for _, p := range s.in {
		if p != rowLeft {
			v.look(s.row[p][:n], s.row[p][n:])
		}
	}
	copy(s.row[rowLeft], v.rows)
}

// multiply works out the inner products of the rows in use, what is smooth in the line's
// bins taken out as in left.
func (s *sheet) multiply(l *line, v *view) {
	n := s.n
	c0, c1 := l.smooth()
	k0, k1 := complex(c0, 0), complex(c1, 0)
	var s0, s1 [rowCount]complex128 // sums, and sums by place in the band
	if v != nil {
		for _, p := range s.in {
			re, im := s.row[p][:n], s.row[p][n:]
			s0[p] = complex(floats.Dot(re, v.s0), floats.Dot(im, v.s0))
			s1[p] = complex(-floats.Dot(im, v.s1), floats.Dot(re, v.s1))
		}
		s0[rowLeft] += v.out.s0
		s1[rowLeft] += v.out.s1
	} else {
		s.places = s.places[:0]
		for k := range n {
			s.places = append(s.places, l.place(l.lo+k))
		}
		for _, p := range s.in {
			re, im := s.row[p][:n], s.row[p][n:]
			s0[p] = complex(floats.Sum(re), floats.Sum(im))
			s1[p] = complex(floats.Dot(re, s.places), floats.Dot(im, s.places))
		}
	}
	if cap(s.turned) < 2*n {
		s.turned = make([]float64, 2*n)
	}
	for i, p := range s.in {
		a, turned := s.row[p], s.turned[:2*n] // a times i
		for k, x := range a[:n] {
			turned[k], turned[n+k] = -a[n+k], x
		}
		for _, q := range s.in[i:] {
			b := s.row[q]
			z := complex(floats.Dot(a, b), 0)
			if p != q {
				z += complex(0, floats.Dot(turned, b))
			}
			z -= k0*conj(s0[p])*s0[q] + k1*conj(s1[p])*s1[q]
			s.gram[p][q], s.gram[q][p] = z, conj(z)
		}
	}
	if v != nil {
		s.gram[rowLeft][rowLeft] += complex(v.out.power, 0)
	}
}

func conj(z complex128) complex128 { return complex(real(z), -imag(z)) }

// normal makes the normal equations of columns cols: m's upper triangle, the right-hand
// side in column total.
func (s *sheet) normal(m *[all][all + 1]float64, cols []form) {
	total := len(cols)
	var some [all][rowLeft]int // rows of which columns hold something,
	var held [all]int          // and how many
	for j := range cols {
		for _, q := range s.in {
			if q != rowLeft && cols[j][q] != 0 {
				some[j][held[j]] = q
				held[j]++
			}
		}
	}
	for j := range total {
		// What the column's product with every row is.
		var with [rowCount]complex128
		for _, q := range some[j][:held[j]] {
			z := cols[j][q]
			for _, p := range s.in {
				with[p] += s.gram[p][q] * z
			}
		}
		for i := range j + 1 {
			sum := 0.0
			for _, p := range some[i][:held[i]] {
				sum += inner(cols[i][p], with[p])
			}
			m[i][j] = sum
		}
		m[j][total] = real(with[rowLeft])
	}
}
