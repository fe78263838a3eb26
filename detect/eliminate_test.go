package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// randomNormal is the normal equations of random columns: their Gram matrix,
// positive definite, and a right-hand side.
func randomNormal(total int, seed uint64) (m [all][all + 1]float64) {
	r := rand.New(rand.NewPCG(seed, 2))
	cols := make([][]float64, total+1)
	for i := range cols {
		for range 40 {
			cols[i] = append(cols[i], r.NormFloat64())
		}
	}
	for i := range total {
		for j := range total + 1 {
			for k := range 40 {
				m[i][j] += cols[i][k] * cols[j][k]
			}
		}
	}
	return m
}

// TestEliminate holds the Gauss–Jordan elimination against gonum's dense solver:
// info is the Schur complement, and own and back give the whole system's solution
// once the shared parameters are known.
func TestEliminate(t *testing.T) {
	for _, n := range []int{single, double} {
		for seed := range uint64(5) {
			total := n + shared
			m := randomNormal(total, seed)
			A := mat.NewDense(total, total, nil)
			b := mat.NewVecDense(total, nil)
			for i := range total {
				for j := range total {
					A.Set(i, j, m[i][j])
				}
				b.SetVec(i, m[i][total])
			}
			var l line
			s := l.eliminate(&m, n, shared)

			var whole mat.VecDense
			if err := whole.SolveVec(A, b); err != nil {
				t.Fatal(err)
			}
			var inv, cov mat.Dense
			if err := inv.Inverse(A); err != nil {
				t.Fatal(err)
			}
			// The shared block of the inverse is the inverse of the Schur complement.
			if err := cov.Inverse(inv.Slice(n, total, n, total)); err != nil {
				t.Fatal(err)
			}
			var d [shared]float64
			for i := range shared {
				for j := range shared {
					near(t, fmt.Sprintf("n %d, info %d %d", n, i, j), l.info[i][j], cov.At(i, j), 1e-9)
				}
				d[i] = whole.AtVec(n + i)
			}
			for i := range shared {
				sum := 0.0
				for j := range shared {
					sum += l.info[i][j] * d[j]
				}
				near(t, fmt.Sprintf("n %d, grad %d", n, i), l.grad[i], sum, 1e-9)
			}
			v := s.after(d)
			for i := range n {
				near(t, fmt.Sprintf("n %d, own %d", n, i), v[i], whole.AtVec(i), 1e-10)
			}
			// The decay's uncertainty: amplitude eliminated, the rest held.
			var three mat.Dense
			if err := three.Inverse(A.Slice(0, 3, 0, 3)); err != nil {
				t.Fatal(err)
			}
			near(t, "uRate", l.uRate, math.Sqrt(three.At(2, 2)), 1e-12)
		}
	}
}

func TestEliminateSingular(t *testing.T) {
	var m [all][all + 1]float64
	l := line{info: [shared][shared]float64{{9}}}
	s := l.eliminate(&m, single, common)
	if l.info != ([shared][shared]float64{}) || s.own != ([double]float64{}) || s.n != single {
		t.Errorf("a line without signal informs: %v %v", l.info, s)
	}
}
