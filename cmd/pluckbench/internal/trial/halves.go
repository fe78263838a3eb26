package trial

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"pluckweigh/detect"
)

// oddOverEven is the interval from f0 by the even partials up to f0 by the odd
// ones, cents, with one B for both: least squares in which a partial weighs by its
// own uncertainty and by the scatter that partials show about the law. It needs
// three partials of each kind.
func oddOverEven(p detect.Pluck) (float64, bool) {
	var use []detect.Partial
	var count [2]int
	for _, q := range p.Partials {
		if q.Used && q.Freq.V > 0 && q.Freq.U > 0 {
			use = append(use, q)
			count[q.N%2]++
		}
	}
	if count[0] < 3 || count[1] < 3 {
		return 0, false
	}
	l := law{p.F0.V, p.B.V}
	// The scatter is that which makes the squares what they should be.
	d, squares, ok := l.halves(use, 0)
	if due := float64(len(use) - 3); ok && squares > due {
		lo, hi := 0.0, 1e-3
		for ; hi < 100; hi *= 2 {
			if _, squares, ok = l.halves(use, hi); !ok || squares <= due {
				break
			}
		}
		for range 40 {
			mid := (lo + hi) / 2
			if d, squares, ok = l.halves(use, mid); squares > due {
				lo = mid
			} else {
				hi = mid
			}
		}
	}
	return d, ok
}

// A law is that of a stiff string.
type law struct{ f0, b float64 }

// halves fits the odd partials' f0, the even ones' and a common B to what partials
// depart from the law by, with a scatter in cents about it. It returns the
// interval from even to odd in cents, and the sum of the squares left, in
// variances.
func (l law) halves(use []detect.Partial, scatter float64) (oddOverEven, squares float64, ok bool) {
	j, y := mat.NewDense(len(use), 3, nil), mat.NewVecDense(len(use), nil)
	for i, q := range use {
		n := float64(q.N)
		bent := 1 + l.b*n*n
		w := 1 / math.Hypot(1200/math.Ln2*q.Freq.U/q.Freq.V, scatter)
		j.Set(i, q.N%2, w)
		j.Set(i, 2, w*1e-4*n*n/bent) // up to a factor, cents by B
		y.SetVec(i, w*cents(q.Freq.V, n*l.f0*math.Sqrt(bent)))
	}
	var x, left mat.VecDense
	if err := x.SolveVec(j, y); err != nil {
		return 0, 0, false
	}
	left.MulVec(j, &x)
	left.SubVec(y, &left)
	return x.AtVec(1) - x.AtVec(0), mat.Dot(&left, &left), true
}
