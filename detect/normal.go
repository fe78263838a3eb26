package detect

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// solveScaled solves A·d = rhs and inverts A into inv, both by way of A scaled to
// a unit diagonal: the parameters' units differ by many powers of ten.
func solveScaled(A *mat.SymDense, rhs *mat.VecDense, inv *mat.SymDense) (d *mat.VecDense, ok bool) {
	unit := make([]float64, A.SymmetricDim())
	for p := range unit {
		unit[p] = 1 / math.Sqrt(A.At(p, p))
	}
	for p := range unit {
		for q := p; q < len(unit); q++ {
			A.SetSym(p, q, A.At(p, q)*unit[p]*unit[q])
		}
		rhs.SetVec(p, rhs.AtVec(p)*unit[p])
	}
	var ch mat.Cholesky
	d = new(mat.VecDense)
	if !ch.Factorize(A) || ch.SolveVecTo(d, rhs) != nil || ch.InverseTo(inv) != nil {
		return nil, false
	}
	for p := range unit {
		d.SetVec(p, d.AtVec(p)*unit[p])
		for q := p; q < len(unit); q++ {
			inv.SetSym(p, q, inv.At(p, q)*unit[p]*unit[q])
		}
	}
	return d, true
}

// sounding is the mean frequency of partial n in the present window: at rest by
// the law, plus what of the glide the window still holds.
func (f *fit) sounding(n int) float64 { return f.hz(n) * (1 + f.fr.meanLeft()) }

// sens is the derivative of partial n's frequency by the fit's parameters, Hz.
func (f *fit) sens(n int) (j [params]float64) {
	if f.burden.there() {
		return f.burdenSens(n)
	}
	m2 := float64(n * n)
	hz := f.hz(n)
	j[0], j[1] = hz, hz*m2/(2*(1+f.b*m2))
	return j
}

// uncertain is the standard uncertainty of partial n's frequency by the law, Hz.
func (f *fit) uncertain(n int) float64 {
	j := f.sens(n)
	v := 0.0
	for p := range j {
		for q := range j {
			v += j[p] * f.cov.At(p, q) * j[q]
		}
	}
	return math.Sqrt(max(0, v))
}

// jacobian is the derivative of what partial n's line senses, (hz, g, ln α,
// slope, lead, and what couples pairs), by the fit's parameters.
func (f *fit) jacobian(n int) [shared][params]float64 {
	return [shared][params]float64{f.sens(n), {2: 1}, {3: 1}, {4: 1}, {5: 1}, {6: 1}, {7: 1}, {8: 1}, {9: 1}, {10: 1}}
}

// addInformation adds a line's information on what it senses, carried to the
// fit's parameters by J, to the normal equations. Most of J is nothing, and is passed
// over: this is done for every line in every step.
func addInformation(A *mat.SymDense, rhs *mat.VecDense, J *[shared][params]float64, info *[shared][shared]float64, grad *[shared]float64) {
	var at [shared][params]int // where J is something
	var some [shared]int
	for u := range J {
		for p, v := range J[u] {
			if v != 0 {
				at[u][some[u]] = p
				some[u]++
			}
		}
	}
	sym := A.RawSymmetric()
	for u := range shared {
		for _, p := range at[u][:some[u]] {
			rhs.SetVec(p, rhs.AtVec(p)+J[u][p]*grad[u])
			for v := range shared {
				w := J[u][p] * info[u][v]
				for _, q := range at[v][:some[v]] {
					if q >= p {
						sym.Data[p*sym.Stride+q] += w * J[v][q]
					}
				}
			}
		}
	}
}
