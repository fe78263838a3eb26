package settle

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// fewest is the number of readings that a level is seen by: two that lie off may as
	// well be something else.
	fewest = 3
	// widest is up to how many readings to each side a step is looked at, to tell it from
	// a pitch that only moves fast.
	widest = 30
	// surest is how many times its own uncertainty a step must have, 4 of a normal
	// distribution: among all series one in some hundred has a step that is none.
	surest = 0.9999683
	// ceiling of what a reading may cost the search, in variances: at three times its
	// scatter it is something else.
	ceiling = 9
	// cuts is the penalty of a step in the search over the logarithm of the number of
	// readings. Twice that is the least with which, in noise alone, no step is found as
	// the readings become many.
	cuts = 4
)

// divide finds the steps, and the fits of all laws with them: it fits the laws, takes the
// best one's shape out of the readings, finds the steps in what is left, and so on until
// nothing changes. restless tells that there would be so many that they are none.
func (f *fitter) divide() (fits []*fitted, steps []int, restless bool) {
	const rounds = 12 // they may go round in a ring: the last then is as good as any
	for round := range rounds + 1 {
		firm := round > 0                                        // what is something else is not known before the steps are
		if fits = f.fitAll(len(steps)+1, firm); len(fits) == 0 { // a level of which no reading is sure
			f.part(nil)
			return f.fitAll(1, true), nil, true
		}
		if round == rounds {
			break
		}
		found := f.find(fits[0])
		if len(found) > max(3, len(f.all)/10) {
			f.part(nil)
			return f.fitAll(1, true), nil, true
		}
		if firm && slices.Equal(found, steps) {
			break
		}
		steps = found
		f.part(steps)
	}
	return fits, steps, false
}

// part divides the readings at steps.
func (f *fitter) part(steps []int) {
	part := 0
	for i := range f.points {
		for part < len(steps) && i >= steps[part] {
			part++
		}
		f.points[i].part = part
	}
}

// fitAll fits all laws that can be fitted, the best first. Where the readings are too few
// for any, that the pitch stays is all that can be said.
func (f *fitter) fitAll(parts int, firm bool) []*fitted {
	var out []*fitted
	for _, law := range laws {
		if law != Still && !(f.span > 0) {
			break
		}
		if g := f.fit(law, parts, firm); g != nil && (law == Still || !math.IsInf(g.aicc, 1)) {
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b *fitted) int {
		switch {
		case a.aicc < b.aicc:
			return -1
		case a.aicc > b.aicc:
			return 1
		}
		return 0
	})
	return out
}

// find finds the steps in what a law leaves: the readings at which they are.
func (f *fitter) find(g *fitted) []int {
	n := len(f.all)
	if n < 2*fewest {
		return nil
	}
	left, v := make([]float64, n), make([]float64, n)
	// The scatter is known from few readings: what is sure of a normal distribution takes
	// more of a Student's. The median makes use of about a third of them.
	sure := distuv.StudentsT{Sigma: 1, Nu: max(1, 0.37*float64(n-2))}.Quantile(surest)
	few := sure / distuv.UnitNormal.Quantile(surest)
	for i, p := range f.points {
		left[i] = p.y - g.b*g.shapeAt(p.t) - g.k*p.warm
		v[i] = f.all[i].U*f.all[i].U + f.scatter*f.scatter
	}
	middle := median(slices.Clone(left))
	scaled := make([]float64, n)
	for i := range left {
		left[i] -= middle
		scaled[i] = v[i] * few * few
	}
	var stretches []stretch
	begins := append(stepwise(left, scaled, ceiling, cuts*math.Log(float64(n))), n)
	for i, from := range begins[:len(begins)-1] {
		if s := f.stretch(left, scaled, from, begins[i+1]); len(s.own) >= fewest {
			stretches = append(stretches, s)
		}
	}
	for len(stretches) > 1 {
		weakest, least := 0, math.Inf(1)
		for i := 1; i < len(stretches); i++ {
			if z := f.jump(left, v, stretches[i-1], stretches[i]); z < least {
				weakest, least = i, z
			}
		}
		if least > sure {
			break
		}
		merged := stretch{stretches[weakest-1].from, append(stretches[weakest-1].own, stretches[weakest].own...)}
		stretches = slices.Replace(stretches, weakest-1, weakest+1, merged)
	}
	var out []int
	for _, s := range stretches[min(1, len(stretches)):] {
		out = append(out, s.from)
	}
	return out
}

// A stretch is where the search found one level, and the readings that lie there.
type stretch struct {
	from int
	own  []int
}

func (f *fitter) stretch(y, v []float64, from, to int) stretch {
	level := median(slices.Clone(y[from:to]))
	s := stretch{from: from}
	for i := from; i < to; i++ {
		if d := y[i] - level; d*d <= 2*ceiling*v[i] { // the law need not fit well yet
			s.own = append(s.own, i)
		}
	}
	return s
}

// jump is how far the second stretch lies off the first, in standard uncertainties, as
// seen by as many readings to each side, through which one slope goes: a pitch that moves
// steadily, or bends the same way on both sides, does not jump.
func (f *fitter) jump(y, v []float64, a, b stretch) float64 {
	m := min(len(a.own), len(b.own), widest)
	near := slices.Concat(a.own[len(a.own)-m:], b.own[:m])
	points := make([]point, 0, 2*m)
	for i, j := range near {
		p := point{t: f.points[j].t, y: y[j], weight: 1 / v[j]}
		if i >= m {
			p.part = 1
		}
		points = append(points, p)
	}
	s := solve(points, 2, Linear, 1, 0, make([]float64, 2*m))
	if !s.ok { // all of one moment
		s = solve(points, 2, Still, 1, 0, make([]float64, 2*m))
	}
	size, variance := s.step(1)
	return math.Abs(size) / root(variance)
}
