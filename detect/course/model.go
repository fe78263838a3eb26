package course

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"
)

// A law is where the partials of a string lie: n f0 √(1+Bn²), raised by a glide that dies
// away.
type law struct {
	f0, b, glide float64 // Hz; relative, at the onset
	fades        float64 // 1/s, of the glide
}

func (l law) hz(n int) float64 {
	return float64(n) * l.f0 * math.Sqrt(1+l.b*float64(n*n))
}

// A line is a partial of one of the strings in a band.
type line struct {
	band, string, n int
	alpha           float64 // 1/s
	amp             complex128
}

// A model is what all bands are explained by.
type model struct {
	c     *cutter
	bands []*band
	laws  []law
	lines []line
}

const (
	shared = 3 // parameters of a law: log f0, B, glide
	// What is taken to be so of strings before anything is heard, as standard deviations:
	// common practice, no source.
	priorB, priorBU = 1e-4, 2e-4
	priorGlide      = 6.0 / cent
	// cent is of a relative change.
	cent = 1200 / math.Ln2
	// slowest and fastest a partial dies, 1/s.
	slowest, fastest = 0.05, 60.0
)

// populate lays lines and bands out: partials of all strings up to a number, those close to
// each other in one band.
func (m *model) populate(most int, top float64) {
	old := m.lines
	alpha := func(s, n int) float64 {
		best, far := 1.5, math.MaxInt
		for _, l := range old {
			if d := max(l.n-n, n-l.n); l.string == s && d < far {
				best, far = l.alpha, d
			}
		}
		return best
	}
	m.lines = m.lines[:0:0]
	var bands []*band
	low := m.laws[0].f0
	for _, l := range m.laws {
		low = min(low, l.f0)
	}
	for s, l := range m.laws {
		for n := 1; n <= most && l.hz(n) < top && l.hz(n) < float64(most+1)*low; n++ {
			at := -1
			for i, b := range bands {
				if math.Abs(b.hz-l.hz(n)) < 0.35*low {
					at = i
				}
			}
			if at < 0 {
				at = len(bands)
				bands = append(bands, m.bandAt(l.hz(n)))
			}
			m.lines = append(m.lines, line{band: at, string: s, n: n, alpha: alpha(s, n)})
		}
	}
	m.bands = bands
}

// bandAt is the band about a frequency: one cut before, if it will do.
func (m *model) bandAt(hz float64) *band {
	for _, b := range m.bands {
		if math.Abs(b.hz-hz) < 0.02*m.c.reach() {
			return b
		}
	}
	return m.c.cut(hz)
}

// A solution is what a step of the fit has: what is left, and the normal equations of all
// parameters: shared ones of each law, then how fast each line dies.
type solution struct {
	left   float64 // weighted sum of squares with what is taken to be so
	normal *mat.SymDense
	pull   *mat.VecDense
}

// solve fits all amplitudes and works the equations of the rest out, if they are wanted.
func (m *model) solve(equations bool) solution {
	params := shared*len(m.laws) + len(m.lines)
	var s solution
	if equations {
		s.normal, s.pull = mat.NewSymDense(params, nil), mat.NewVecDense(params, nil)
	}
	for i, b := range m.bands {
		m.solveBand(i, b, &s)
	}
	for k, l := range m.laws {
		db, dg := (l.b-priorB)/priorBU, l.glide/priorGlide
		s.left += db*db + dg*dg
		if equations {
			i := shared*k + 1
			s.normal.SetSym(i, i, s.normal.At(i, i)+1/(priorBU*priorBU))
			s.pull.SetVec(i, s.pull.AtVec(i)-db/priorBU)
			s.normal.SetSym(i+1, i+1, s.normal.At(i+1, i+1)+1/(priorGlide*priorGlide))
			s.pull.SetVec(i+1, s.pull.AtVec(i+1)-dg/priorGlide)
		}
	}
	return s
}

func (m *model) solveBand(i int, b *band, s *solution) {
	var own []int
	for k, l := range m.lines {
		if l.band == i {
			own = append(own, k)
		}
	}
	at := m.c.at
	rows := make([][]complex128, len(own))  // the lines as they are
	basis := make([][]complex128, len(own)) // orthonormal
	top := make([][]complex128, len(own))   // rows by basis
	for j, k := range own {
		rows[j] = m.sound(m.lines[k], b)
		v := append([]complex128(nil), rows[j]...)
		top[j] = make([]complex128, j+1)
		for o := range j {
			top[j][o] = inner(basis[o], v)
			axpy(v, -top[j][o], basis[o])
		}
		norm := math.Sqrt(real(inner(v, v)))
		top[j][j] = complex(norm, 0)
		for t := range v {
			v[t] /= complex(max(norm, 1e-12), 0)
		}
		basis[j] = v
	}
	rest := append([]complex128(nil), b.y...)
	co := make([]complex128, len(own))
	for j := range own {
		co[j] = inner(basis[j], rest)
		axpy(rest, -co[j], basis[j])
	}
	for j := len(own) - 1; j >= 0; j-- { // back substitution: amplitudes
		a := co[j] / complex(max(real(top[j][j]), 1e-12), 0)
		m.lines[own[j]].amp = a
		for o := range j {
			co[o] -= a * top[j][o]
		}
	}
	power := real(inner(rest, rest))
	weight := 1 / (b.noise * dependent)
	s.left += power * weight
	if s.normal == nil {
		return
	}
	type column struct {
		at int
		d  []complex128
	}
	var columns []column
	add := func(param int, d []complex128) {
		for j := range basis {
			axpy(d, -inner(basis[j], d), basis[j])
		}
		columns = append(columns, column{param, d})
	}
	merged := map[int][]complex128{} // of shared parameters, over the band's lines
	for j, k := range own {
		l := m.lines[k]
		f := m.laws[l.string]
		n2 := float64(l.n * l.n)
		d := make([]complex128, len(at))
		parts := [shared][]complex128{}
		for q := range parts {
			key := shared*l.string + q
			if merged[key] == nil {
				merged[key] = make([]complex128, len(at))
			}
			parts[q] = merged[key]
		}
		for t := range at {
			v := l.amp * rows[j][t]
			d[t] = complex(-at[t], 0) * v
			turn := 2 * math.Pi * f.hz(l.n)
			g := -math.Expm1(-f.fades*at[t]) / f.fades
			w := at[t] + f.glide*g
			parts[0][t] += complex(0, turn*w) * v
			parts[1][t] += complex(0, turn*w*n2/(2*(1+f.b*n2))) * v
			parts[2][t] += complex(0, turn*g) * v
		}
		add(shared*len(m.laws)+k, d)
	}
	for key := range shared * len(m.laws) {
		if d := merged[key]; d != nil {
			add(key, d)
		}
	}
	for x, p := range columns {
		s.pull.SetVec(p.at, s.pull.AtVec(p.at)+weight*real(inner(p.d, rest)))
		for _, q := range columns[:x+1] {
			v := weight * real(inner(p.d, q.d))
			s.normal.SetSym(p.at, q.at, s.normal.At(p.at, q.at)+v)
		}
	}
}

// sound is a line of amplitude one as its band has it.
func (m *model) sound(l line, b *band) []complex128 {
	f := m.laws[l.string]
	hz := f.hz(l.n)
	out := make([]complex128, len(m.c.at))
	for k, t := range m.c.at {
		g := -math.Expm1(-f.fades*t) / f.fades
		phase := 2 * math.Pi * (hz*(t+f.glide*g) - b.hz*t)
		out[k] = cmplx.Rect(math.Exp(-l.alpha*t), phase)
	}
	return out
}

// inner is the inner product of x, conjugated, and y.
func inner(x, y []complex128) complex128 {
	var sum complex128
	for i := range x {
		sum += cmplx.Conj(x[i]) * y[i]
	}
	return sum
}

// axpy adds a x to y.
func axpy(y []complex128, a complex128, x []complex128) {
	for i := range y {
		y[i] += a * x[i]
	}
}

// fit improves the model by the method of Levenberg and Marquardt until no step helps.
func (m *model) fit(steps int) solution {
	damp := 1e-3
	s := m.solve(true)
	for range steps {
		was := append([]law(nil), m.laws...)
		lines := append([]line(nil), m.lines...)
		n := s.pull.Len()
		A := mat.NewSymDense(n, nil)
		A.CopySym(s.normal)
		for i := range n {
			A.SetSym(i, i, A.At(i, i)*(1+damp)+1e-30)
		}
		var ch mat.Cholesky
		var d mat.VecDense
		if !ch.Factorize(A) || ch.SolveVecTo(&d, s.pull) != nil {
			damp *= 10
			continue
		}
		for k := range m.laws {
			m.laws[k].f0 *= math.Exp(max(-0.02, min(0.02, d.AtVec(shared*k))))
			m.laws[k].b = max(0, m.laws[k].b+d.AtVec(shared*k+1))
			m.laws[k].glide += d.AtVec(shared*k + 2)
		}
		for k := range m.lines {
			a := m.lines[k].alpha
			m.lines[k].alpha = max(slowest, min(fastest, a+max(-a/2, min(a, d.AtVec(shared*len(m.laws)+k)))))
		}
		next := m.solve(true)
		if next.left >= s.left || math.IsNaN(next.left) {
			m.laws, m.lines = was, lines
			if damp *= 5; damp > 1e6 {
				break
			}
			continue
		}
		gain := s.left - next.left
		s = next
		damp = max(1e-9, damp/10)
		if gain < 1e-3 {
			break
		}
	}
	return s
}
