package physics

import (
	"cmp"
	"math"
	"slices"
)

// pool makes one point of all hangs of one load. The load, which they share, counts once, at the largest of
// the uncertainties given for it.
func (r Rig) pool(hangs []Hang) []HungPoint {
	var points []HungPoint
	for i, h := range hangs {
		pull := h.Load.Pull(r.Gravity.Value)
		at := slices.IndexFunc(points, func(p HungPoint) bool {
			return samePull(p.Pull.Value, pull.Value)
		})
		if at < 0 {
			points = append(points, HungPoint{Load: h.Load, Pull: pull, Hangs: []int{i}})
			continue
		}
		p := &points[at]
		p.Hangs = append(p.Hangs, i)
		if pull.U > p.Pull.U {
			p.Pull, p.Load = pull, h.Load
		}
	}
	for i := range points {
		var of []Measured[Frequency]
		for _, j := range points[i].Hangs {
			of = append(of, hangs[j].F0)
		}
		points[i].F0 = average(of)
	}
	slices.SortStableFunc(points, func(a, b HungPoint) int { return cmp.Compare(a.Pull.Value, b.Pull.Value) })
	return points
}

// average is the weighted mean of values that may scatter by more than their
// uncertainties say, as a load that is hung anew does: DerSimonian & Laird's
// random-effects mean (Controlled Clinical Trials 7 (1986) 177).
func average[Q Quantity](of []Measured[Q]) Measured[Q] {
	if len(of) == 1 {
		return of[0]
	}
	const exact = 1e-12 // relative: what nobody can know better
	weighted := func(between float64) (mean, sum, squares, q float64) {
		for _, m := range of {
			u := max(float64(m.U), exact*float64(m.Value))
			w := 1 / (u*u + between)
			mean += w * float64(m.Value)
			sum += w
			squares += w * w
		}
		mean /= sum
		for _, m := range of {
			u := max(float64(m.U), exact*float64(m.Value))
			q += math.Pow(float64(m.Value)-mean, 2) / (u*u + between)
		}
		return mean, sum, squares, q
	}
	_, sum, squares, q := weighted(0)
	between := max(0, (q-float64(len(of)-1))/(sum-squares/sum))
	mean, sum, _, _ := weighted(between)
	return Measured[Q]{Value: Q(mean), U: Q(1 / math.Sqrt(sum)), Assumed: of[0].Assumed, Unit: of[0].Unit}
}

// stiffness is B·f0² of the string, which is the same under every load: the mean of
// those heard, or what is plausible under the load that says most where none was.
func stiffness(hangs []Hang) Measured[Inharmonicity] {
	var heard, plausible []Measured[Inharmonicity]
	for _, h := range hangs {
		f2 := Inharmonicity(h.F0.Value * h.F0.Value)
		m := Measured[Inharmonicity]{Value: h.B.Value * f2, U: h.B.U * f2, Assumed: h.B.Assumed}
		if h.B.Assumed || h.B.Value == 0 {
			plausible = append(plausible, m)
		} else {
			heard = append(heard, m)
		}
	}
	if len(heard) > 0 {
		return average(heard)
	}
	return slices.MinFunc(plausible, func(a, b Measured[Inharmonicity]) int { return cmp.Compare(a.U, b.U) })
}
