package settle

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// fewest is the number of readings that a level is seen by: two that lie off may as
	// well be something else.
	fewest = 3
	// widest is up to how many readings to each side a step is looked at.
	widest = 30
	// chance is the probability of a step that is none anywhere in noise, were every
	// reading looked at by itself; the search comes to fewer.
	chance = 0.015
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

// fitAll fits all laws that can be fitted, the best first.
func (f *fitter) fitAll(parts int, firm bool) []*fitted {
	var out []*fitted
	all := make([]*fitted, len(laws))
	var many sync.WaitGroup
	for i, law := range laws {
		if law != Still && !(f.span > 0) {
			break
		}
		if len(f.all) <= plenty {
			all[i] = f.fit(law, parts, firm)
			continue
		}
		many.Go(func() { // with readings of its own to weigh
			own := *f
			own.points, own.blocks, own.shapes = slices.Clone(f.points), nil, make([]float64, len(f.shapes))
			all[i] = own.fit(law, parts, firm)
		})
	}
	many.Wait()
	for _, g := range all {
		if g != nil && !math.IsInf(g.aicc, 1) {
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b *fitted) int { return cmp.Compare(a.aicc, b.aicc) })
	return out
}

// find finds the steps in what a law leaves: the readings at which they are.
func (f *fitter) find(g *fitted) []int {
	n := len(f.all)
	if n < 2*fewest {
		return nil
	}
	left, v := make([]float64, n), make([]float64, n)
	surest := 1 - chance/float64(n)
	sure, few := distuv.UnitNormal.Quantile(surest), 1.0
	if n < 1000 {
		// The scatter is known from few readings, and the median makes use of about a third
		// of them: what is sure of a normal distribution takes more of a Student's.
		more := distuv.StudentsT{Sigma: 1, Nu: max(1, 0.37*float64(n-2))}.Quantile(surest)
		sure, few = more, more/sure
	}
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
	begins := stepwise(left, scaled, ceiling, cuts*math.Log(float64(n)))
	return f.proven(begins[1:], left, v, sure)
}

// proven are those of the steps proposed that are none of a pitch which only moves fast.
// The least sure goes first: what it hid of its neighbours then counts for them.
func (f *fitter) proven(steps []int, y, v []float64, sure float64) []int {
	steps = slices.Clone(steps)
	worth := make([]float64, len(steps))
	look := func(i int) {
		from, to := 0, len(y)
		if i > 0 {
			from = steps[i-1]
		}
		if i+1 < len(steps) {
			to = steps[i+1]
		}
		steps[i], worth[i] = f.jump(y, v, from, steps[i], to)
	}
	for i := range steps {
		look(i)
	}
	for len(steps) > 0 {
		i := 0
		for j, z := range worth {
			if z < worth[i] {
				i = j
			}
		}
		if worth[i] > sure {
			break
		}
		steps, worth = slices.Delete(steps, i, i+1), slices.Delete(worth, i, i+1)
		if i > 0 {
			look(i - 1)
		}
		if i < len(steps) {
			look(i)
		}
	}
	return steps
}

// jump is how far the pitch jumps at a reading, in standard uncertainties, and where
// exactly, give or take two readings, between those from and to. A line goes through as
// many readings on each side as lie on one; both together must say more than a cubic
// parabola through all of them, and than a line that bends once, which have as many
// parameters and do not jump. One reading may have been taken in the middle of it.
func (f *fitter) jump(y, v []float64, from, at, to int) (where int, z float64) {
	for m := widest; m >= fewest; m = m * 3 / 4 {
		good := distuv.ChiSquared{K: float64(2*m - 4)}.Quantile(0.999)
		least, seen := math.Inf(1), []int(nil)
		for _, p := range places {
			if w := at + p.moved; w <= from || w >= to {
				continue
			}
			left, right := f.beside(at+p.moved, from, -1, m), f.beside(at+p.moved-1+p.hole, to, 1, m)
			if len(left) < m || len(right) < m {
				continue
			}
			below, variance, a := f.line(y, v, left, at+p.moved)
			above, more, b := f.line(y, v, right, at+p.moved)
			if a+b < least {
				least, where, z = a+b, at+p.moved, math.Abs(above-below)/math.Sqrt(variance+more)
				seen = append(left, right...)
			}
			if least < good && p.moved == 0 {
				break
			}
		}
		if least < good {
			smooth := min(f.cubic(y, v, seen), f.bent(y, v, seen, where))
			return where, min(z, math.Sqrt(max(0, smooth-least)))
		}
	}
	return at, 0
}

// places are where a step may be, those first that are taken if they will do.
var places = []struct{ moved, hole int }{{0, 0}, {0, 1}, {-1, 0}, {1, 0}, {-1, 1}, {1, 1}, {-2, 0}, {2, 0}, {-2, 1}, {2, 1}}

// beside lists so many readings next to one, downwards or upwards to a limit, but those
// that stand alone.
func (f *fitter) beside(at, limit, way, most int) []int {
	var out []int
	for i := at + way; (way < 0 && i >= limit || way > 0 && i < limit) && len(out) < most; i += way {
		if !f.alone[i] {
			out = append(out, i)
		}
	}
	return out
}

// line is what a line through some readings has midway between a reading and the one
// before it, its variance, and chi-squared.
func (f *fitter) line(y, v []float64, through []int, at int) (value, variance, chi2 float64) {
	points := make([]point, len(through))
	for i, j := range through {
		points[i] = point{t: f.points[j].t, y: y[j], weight: 1 / v[j]}
	}
	s := solve(points, 1, Linear, 1, 0, make([]float64, len(points)))
	value, variance = s.at((f.points[max(0, at-1)].t+f.points[at].t)/2, 0, 0)
	return value, variance, s.chi2
}

// cubic is chi-squared of a cubic parabola through some readings.
func (f *fitter) cubic(y, v []float64, through []int) float64 {
	return f.through(y, v, through, func(x float64) []float64 { return []float64{1, x, x * x, x * x * x} })
}

// bent is chi-squared of the best line through some readings that bends at one of those
// near a step.
func (f *fitter) bent(y, v []float64, through []int, near int) float64 {
	const reach = 8
	least := math.Inf(1)
	for i := max(slices.Min(through), near-reach); i <= min(slices.Max(through), near+reach); i++ {
		at := f.middle(through, i)
		least = min(least, f.through(y, v, through, func(x float64) []float64 { return []float64{1, x, math.Abs(x - at)} }))
	}
	return least
}

// middle is where among some readings one lies, from −1 at the first to 1 at the last.
func (f *fitter) middle(among []int, i int) float64 {
	first, last := f.points[slices.Min(among)].t, f.points[slices.Max(among)].t
	return 2*(f.points[i].t-first)/(last-first) - 1
}

// through is chi-squared of the best sum of terms through some readings, infinite where
// there is none.
func (f *fitter) through(y, v []float64, readings []int, terms func(x float64) []float64) float64 {
	if f.points[slices.Min(readings)].t == f.points[slices.Max(readings)].t {
		return math.Inf(1)
	}
	columns := len(terms(0))
	a, b := mat.NewDense(len(readings), columns, nil), mat.NewVecDense(len(readings), nil)
	for i, j := range readings {
		weight := 1 / math.Sqrt(v[j])
		b.SetVec(i, y[j]*weight)
		for k, term := range terms(f.middle(readings, j)) {
			a.Set(i, k, term*weight)
		}
	}
	var c, fit mat.VecDense
	if err := c.SolveVec(a, b); err != nil { // fewer moments than terms
		return math.Inf(1)
	}
	fit.MulVec(a, &c)
	b.SubVec(b, &fit)
	return mat.Dot(b, b)
}
