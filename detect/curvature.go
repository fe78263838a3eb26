package detect

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A bending of a line is how its amplitude and phase bend over the window beyond what
// a damped sinusoid's do, as the second derivative of their complex logarithm at the
// pluck, over (2π hz)²: two modes in the proportion 1 to r, a relative split d
// apart, are to second order in d t one mode of curvature -r d²/(1+r)².
type bending struct {
	z    complex128
	u    float64 // standard uncertainty of each part
	rate float64 // the line's decay over its 2π hz
	per  float64 // 1/(2π hz), s: a glide bends lines in this proportion
}

// bendOf measures the bend of a line, its amplitude, decay and frequency free.
func (fr *frame) bendOf(l *line) (b bending, ok bool) {
	const n = 6 // amplitude's two parts, decay, frequency, bend's two parts
	m := l.modes()[0]
	g := newGeometric(m.exponent(fr.rate), fr.n)
	half := 0.5 * m.amp
	scale := 2 * math.Pi * m.hz / fr.rate
	var A [n][n + 1]float64
	var s0, s1, cols [n + 1]complex128
	for k := l.lo; k < l.hi; k++ {
		G, D, E := g.moments(fr.tw[k])
		cols[0], cols[2], cols[4] = half*G, half*D, half*E*complex(scale*scale/2, 0)
		cols[1], cols[3], cols[5] = times1i(cols[0]), times1i(cols[2]), times1i(cols[4])
		cols[n] = fr.rest[k]
		x := complex(l.place(k), 0)
		for i, c := range cols {
			s0[i] += c
			s1[i] += x * c
		}
		for i := range n {
			for j := i; j <= n; j++ {
				A[i][j] += inner(cols[i], cols[j])
			}
		}
	}
	c0, c1 := l.smooth()
	M := mat.NewSymDense(n, nil)
	rhs := mat.NewVecDense(n, nil)
	var unit [n]float64
	for i := range n {
		unit[i] = 1 / math.Sqrt(A[i][i])
		for j := i; j <= n; j++ {
			A[i][j] -= c0*inner(s0[i], s0[j]) + c1*inner(s1[i], s1[j])
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			M.SetSym(i, j, A[i][j]*unit[i]*unit[j])
		}
		rhs.SetVec(i, A[i][n]*unit[i])
	}
	var ch mat.Cholesky
	var x mat.VecDense
	var inv mat.SymDense
	if !ch.Factorize(M) || ch.SolveVecTo(&x, rhs) != nil || ch.InverseTo(&inv) != nil {
		return b, false
	}
	v := l.noise / 2
	b.z = complex(x.AtVec(4)*unit[4], x.AtVec(5)*unit[5])
	b.u = math.Sqrt(v*inv.At(4, 4)) * unit[4]
	b.per = 1 / (2 * math.Pi * m.hz)
	b.rate = m.alpha * b.per
	return b, true
}

// bends lists those of the lines that are heard.
func (f *fit) bends() (bs []bending) {
	for _, l := range f.heard() {
		if b, ok := f.fr.bendOf(l); ok {
			bs = append(bs, b)
		}
	}
	return bs
}

// excess is by how many standard deviations the sum of the bends' squares exceeds
// what chance gives.
func excess(bs []bending) float64 {
	if len(bs) == 0 {
		return 0
	}
	sum := 0.0
	for _, b := range bs {
		sum += sq(b.z) / (b.u * b.u)
	}
	n := float64(2 * len(bs))
	return (sum - n) / math.Sqrt(2*n)
}

// glideless takes out of bends what the fit of a glide took: of the imaginary parts
// what goes with per, and of the decays' share in them, left in per instead, likewise.
func glideless(bs []bending) []bending {
	var pp, pz, pr float64
	for _, b := range bs {
		w := 1 / (b.u * b.u)
		pp, pz, pr = pp+w*b.per*b.per, pz+w*b.per*imag(b.z), pr+w*b.per*b.rate
	}
	out := slices.Clone(bs)
	if pp == 0 {
		return out
	}
	for i := range out {
		b := &out[i]
		b.z -= complex(0, pz/pp*b.per)
		b.per = b.rate - pr/pp*b.per
	}
	return out
}
