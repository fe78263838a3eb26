package identify

import (
	"math"
	"math/rand/v2"
)

// A trial is a test that measures some traits, and what it may show.
type trial struct {
	answers []openAnswer
	shows   [][]shown // by answer, with the components that it may be
}

// A shown is what a test may show if a component of an answer is so: a normal distribution
// of one trait or two.
type shown struct {
	weight float64 // of the component
	mean   [2]float64
	l      [2][2]float64 // lower triangle, LLᵀ the covariance
	per    [2]float64    // 1/ its diagonal
	height float64       // of the density, times the weight
}

// newTrial is a test that measures the traits of which it has a relative standard
// uncertainty above zero: one or two.
func newTrial(u vector, answers []openAnswer) trial {
	var x normal
	for i := range u {
		if u[i] > 0 {
			x.mask = x.mask.with(i)
			x.cov[i][i] = sq(u[i]) + sq(sharpest)
		}
	}
	t := trial{answers, make([][]shown, len(answers))}
	for i := range answers {
		a := &answers[i]
		m := a.mixture
		if a.itself.covers(x.mask) {
			m = mixture{component{a.itself, 1}}
		}
		for _, c := range m {
			f := factor(&c.cov, &x.cov, x.mask)
			s := shown{weight: c.weight, height: c.weight * f.height()}
			for j := range f.n {
				s.mean[j] = c.mean[f.at[j]]
				s.per[j] = 1 / f.l[j][j]
				copy(s.l[j][:], f.l[j][:2])
			}
			t.shows[i] = append(t.shows[i], s)
		}
	}
	return t
}

// density is that of what was shown, times the weight.
func (s *shown) density(x [2]float64) float64 {
	z := (x[0] - s.mean[0]) * s.per[0]
	z2 := (x[1] - s.mean[1] - s.l[1][0]*z) * s.per[1]
	off := z*z + z2*z2
	const none = 80 // e⁻⁴⁰ of the height
	if off > none {
		return 0
	}
	return s.height * math.Exp(-off/2)
}

// test works out what the trial is expected to tell: what it may show is drawn from what
// is known, always by the same numbers.
func (t trial) test(of Telling) Test {
	r := rand.New(rand.NewPCG(1, 2))
	out := Test{Of: of, Gain: entropy(t.answers, nil)}
	likelihood := make([]float64, len(t.answers))
	for k := range testDraws {
		i := drawn(t.answers, func(a openAnswer) float64 { return a.probability }, (float64(k)+r.Float64())/testDraws)
		j := drawn(t.shows[i], func(s shown) float64 { return s.weight }, r.Float64())
		from := &t.shows[i][j]
		z, z2 := r.NormFloat64(), r.NormFloat64()
		x := [2]float64{from.mean[0] + from.l[0][0]*z, from.mean[1] + from.l[1][0]*z + from.l[1][1]*z2}
		for i, all := range t.shows {
			sum := 0.0
			for j := range all {
				sum += all[j].density(x)
			}
			likelihood[i] = sum
		}
		h, top := entropyAndMost(t.answers, likelihood)
		out.Gain -= h / testDraws
		if top >= Surely {
			out.Settles += 1.0 / testDraws
		}
	}
	return out
}
