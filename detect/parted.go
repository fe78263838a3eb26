package detect

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/mat"
)

const (
	partedTau = 0.2 * cent // relative scatter that real partials may have, 0.2 cent
	partedF   = 12.0       // variance ratio from which two laws are better than one
	partedAll = 7          // partials without which it is not asked
)

// departed is how far a partial lies from the fit's law.
type departed struct {
	n           int
	off, weight float64 // relative; inverse variance
}

// parted tells whether every m-th partial keeps to a law of its own, so that two
// laws explain all of them much better than one: it is another string's, tuned to
// one of this one's harmonics. It returns m, or 0. (An F test of two parameters
// more, from memory: Draper & Smith, Applied Regression Analysis.)
func parted(ps []departed) int {
	if len(ps) < partedAll {
		return 0
	}
	one, _ := lawLeft(ps, func(int) bool { return true })
	best, which := partedF, 0
	for m := 2; m <= 5; m++ {
		in, ok := lawLeft(ps, func(n int) bool { return n%m == 0 })
		out, too := lawLeft(ps, func(n int) bool { return n%m != 0 })
		if !ok || !too {
			continue
		}
		// At least one weighted square is left: partedTau is a guess.
		if ratio := (one - in - out) / 2 / ((in + out + 1) / float64(len(ps)-4)); ratio > best {
			best, which = ratio, m
		}
	}
	return which
}

// departures lists how far what is heard at places lies from the law, where a
// partial was set aside by the loudest stray there.
func (f *fit) departures(places []place) []departed {
	var ps []departed
	for _, p := range places {
		if p.used {
			d, u := f.departure(p.line)
			u /= p.hz
			ps = append(ps, departed{p.n, d / p.hz, 1 / (u*u + partedTau*partedTau)})
			continue
		}
		loudest := slices.MaxFunc(f.straysAt(p.n), func(a, b *line) int {
			return cmp.Compare(loudness(a.amp, a.alpha), loudness(b.amp, b.alpha))
		})
		ps = append(ps, departed{p.n, loudest.hz/f.sounding(p.n) - 1, 1 / (partedTau * partedTau)})
	}
	return ps
}

// lawLeft is the weighted sum of squares that a law of their own leaves of some of
// the partials, a constant and a part that grows as n²; false for fewer than three.
func lawLeft(ps []departed, of func(n int) bool) (left float64, ok bool) {
	A, rhs := mat.NewSymDense(2, nil), mat.NewVecDense(2, nil)
	count := 0
	for _, p := range ps {
		if !of(p.n) {
			continue
		}
		count++
		left += p.weight * p.off * p.off
		row := [2]float64{1, float64(p.n * p.n)}
		for i := range row {
			rhs.SetVec(i, rhs.AtVec(i)+p.weight*row[i]*p.off)
			for j := i; j < 2; j++ {
				A.SetSym(i, j, A.At(i, j)+p.weight*row[i]*row[j])
			}
		}
	}
	var ch mat.Cholesky
	var x mat.VecDense
	if count < 3 || !ch.Factorize(A) || ch.SolveVecTo(&x, rhs) != nil {
		return 0, false
	}
	return max(left-mat.Dot(&x, rhs), 0), true
}
