package bound

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrNoBound is returned where the samples do not determine the unknowns: too
// few partials for B, or too little sound.
var ErrNoBound = errors.New("bound: the samples do not determine f0 and B")

// Known says which of the common unknowns are known.
type Known int

const (
	Steady  Known = iota // no glide, or a known one: f0 and B are unknown
	Gliding              // the glide's amount is unknown, too
	Soft                 // no glide and a known B: f0 alone is unknown
)

// A Bound is a pair of least standard deviations.
type Bound struct {
	F0 float64 // Hz
	B  float64 // 0 where B is known
}

// mostCondition is the condition number, of the matrix scaled to a unit
// diagonal, beyond which half the digits are lost.
const mostCondition = 1e8

// Bound returns the Cramér–Rao bound. Amplitudes, phases and decays are unknown
// in any case.
func (in *Information) Bound(k Known) (Bound, error) {
	use := []int{iLogF0}
	switch k {
	case Steady:
		use = append(use, iB)
	case Gliding:
		use = append(use, iB, iGlide)
	}
	for i := common; i < in.f.SymmetricDim(); i++ {
		use = append(use, i)
	}
	scale := make([]float64, len(use))
	for i, u := range use {
		d := in.f.At(u, u)
		if !(d > 0) || math.IsInf(d, 0) {
			return Bound{}, ErrNoBound
		}
		scale[i] = math.Sqrt(d)
	}
	f := mat.NewSymDense(len(use), nil)
	for i, u := range use {
		for j := i; j < len(use); j++ {
			f.SetSym(i, j, in.f.At(u, use[j])/(scale[i]*scale[j]))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(f) || !(chol.Cond() < mostCondition) {
		return Bound{}, ErrNoBound
	}
	least := func(i int) (float64, error) {
		unit := mat.NewVecDense(len(use), nil)
		unit.SetVec(i, 1)
		var x mat.VecDense
		if err := chol.SolveVecTo(&x, unit); err != nil {
			return 0, err
		}
		return math.Sqrt(x.AtVec(i)) / scale[i], nil
	}
	logF0, err := least(0)
	if err != nil {
		return Bound{}, err
	}
	out := Bound{F0: logF0 * in.signal.F0}
	if k != Soft {
		if out.B, err = least(1); err != nil {
			return Bound{}, err
		}
	}
	return out, nil
}
