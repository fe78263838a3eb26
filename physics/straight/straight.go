// Package straight fits straight lines, and planes, through points with errors in all
// their coordinates. It is statistics alone.
package straight

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// A Point has standard uncertainties in all coordinates, independent of each other and of
// those of other points. At least one of those of a point is above zero.
type Point struct {
	X, UX []float64 // as many for each point
	Y, UY float64
	// Part is which intercept the point has, from 0: points of several lines that have
	// their slopes in common have one each.
	Part int
}

// A Fit is y = intercept + slope·x that is likeliest for a set of points.
type Fit struct {
	Slopes     []float64
	Intercepts []float64 // by part; NaN for a part without a point
	Cov        *mat.SymDense
	Chi2       float64 // squared distances of the points, in their uncertainties
	Free       int     // degrees of freedom
	Points     []Point
	Weights    []float64   // of the points: one over the variance of y − intercept − slope·x
	Adjusted   [][]float64 // where on the line each point is likeliest to belong
	mean       [][]float64 // by part, of the adjusted x
	sum        []float64   // by part, of the weights
}

// Through fits points by the equations of York (1966) with the standard errors evaluated
// at the adjusted points as in York, Evensen, Martínez and De Basabe Delgado, American
// Journal of Physics 72 (2004) 367, written out for more than one x, and for parts with
// intercepts of their own. ok is false where the points have no line, as where all of a
// part have one x.
func Through(points []Point) (f Fit, ok bool) {
	if len(points) == 0 || len(points[0].X) == 0 {
		return Fit{}, false
	}
	f = Fit{Points: points, Slopes: make([]float64, len(points[0].X)), Weights: make([]float64, len(points))}
	parts := map[int]bool{}
	for _, p := range points {
		parts[p.Part] = true
		f.Adjusted = append(f.Adjusted, slices.Clone(p.X))
	}
	f.Intercepts = make([]float64, 1+slices.MaxFunc(points, func(p, q Point) int { return p.Part - q.Part }).Part)
	f.Free = len(points) - len(parts) - len(f.Slopes)
	if f.Free < 0 {
		return Fit{}, false
	}
	// The first step is unweighted. Each further one shortens the error by an order of
	// magnitude or more where the points lie on a line at all.
	const most, fine = 200, 1e-13
	for i := range f.Weights {
		f.Weights[i] = 1
	}
	if !f.step() {
		return Fit{}, false
	}
	for step := 0; ; step++ {
		last := slices.Clone(f.Slopes)
		if step == most || !f.weigh() || !f.step() {
			return Fit{}, false
		}
		settled := true
		for i, b := range f.Slopes {
			settled = settled && math.Abs(b-last[i]) <= fine*math.Abs(b)
		}
		if settled {
			break
		}
	}
	return f, f.conclude()
}

// weigh gives the points their weights and adjusted x by the slopes as they are.
func (f *Fit) weigh() bool {
	for i, p := range f.Points {
		v := p.UY * p.UY
		for k, b := range f.Slopes {
			v += b * b * p.UX[k] * p.UX[k]
		}
		f.Weights[i] = 1 / v
	}
	f.centre(func(i int) []float64 { return f.Points[i].X })
	for i, p := range f.Points {
		off := p.Y - f.Intercepts[p.Part]
		for k, b := range f.Slopes {
			off -= b * p.X[k]
		}
		for k, b := range f.Slopes {
			f.Adjusted[i][k] = p.X[k] + f.Weights[i]*b*p.UX[k]*p.UX[k]*off
		}
	}
	return !math.IsNaN(stat.Mean(f.Weights, nil))
}

// centre finds the parts' weighted means of an x, and their intercepts.
func (f *Fit) centre(x func(i int) []float64) {
	n := len(f.Intercepts)
	f.sum, f.mean = make([]float64, n), make([][]float64, n)
	for g := range f.mean {
		f.mean[g] = make([]float64, len(f.Slopes))
		f.Intercepts[g] = 0
	}
	for i, p := range f.Points {
		w := f.Weights[i]
		f.sum[p.Part] += w
		off := p.Y
		for k, b := range f.Slopes {
			f.mean[p.Part][k] += w * x(i)[k]
			off -= b * p.X[k]
		}
		f.Intercepts[p.Part] += w * off
	}
	for g, s := range f.sum {
		f.Intercepts[g] /= s
		for k := range f.mean[g] {
			f.mean[g][k] /= s
		}
	}
}

// step solves for the slopes once, the weights and adjusted x being what they are.
func (f *Fit) step() bool {
	p := len(f.Slopes)
	var sum = make([]float64, len(f.Intercepts))
	mx, ma, my := make([][]float64, len(sum)), make([][]float64, len(sum)), make([]float64, len(sum))
	for g := range sum {
		mx[g], ma[g] = make([]float64, p), make([]float64, p)
	}
	for i, q := range f.Points {
		w, g := f.Weights[i], q.Part
		sum[g] += w
		my[g] += w * q.Y
		for k := range p {
			mx[g][k] += w * q.X[k]
			ma[g][k] += w * f.Adjusted[i][k]
		}
	}
	m, v := mat.NewDense(p, p, nil), mat.NewVecDense(p, nil)
	for i, q := range f.Points {
		w, g := f.Weights[i], q.Part
		for j := range p {
			u := w * (f.Adjusted[i][j] - ma[g][j]/sum[g]) // York's β, with its mean taken off
			v.SetVec(j, v.AtVec(j)+u*(q.Y-my[g]/sum[g]))
			for k := range p {
				m.Set(j, k, m.At(j, k)+u*(q.X[k]-mx[g][k]/sum[g]))
			}
		}
	}
	var b mat.VecDense
	if err := b.SolveVec(m, v); err != nil {
		return false
	}
	for k := range p {
		f.Slopes[k] = b.AtVec(k)
		if math.IsNaN(b.AtVec(k)) || math.IsInf(b.AtVec(k), 0) {
			return false
		}
	}
	return true
}

// conclude works out what is known of the fit at its end.
func (f *Fit) conclude() bool {
	f.centre(func(i int) []float64 { return f.Adjusted[i] })
	p := len(f.Slopes)
	spread := mat.NewSymDense(p, nil)
	f.Chi2 = 0
	for i, q := range f.Points {
		for j := range p {
			for k := j; k < p; k++ {
				d, e := f.Adjusted[i][j]-f.mean[q.Part][j], f.Adjusted[i][k]-f.mean[q.Part][k]
				spread.SetSym(j, k, spread.At(j, k)+f.Weights[i]*d*e)
			}
		}
		r := f.Residual(i)
		f.Chi2 += f.Weights[i] * r * r
	}
	for g, s := range f.sum {
		if s == 0 {
			f.Intercepts[g] = math.NaN()
		}
	}
	var c mat.Cholesky
	if !c.Factorize(spread) {
		return false
	}
	f.Cov = mat.NewSymDense(p, nil)
	if err := c.InverseTo(f.Cov); err != nil {
		return false
	}
	return !math.IsInf(mat.Norm(f.Cov, 1), 0) && !math.IsNaN(f.Chi2)
}

// Residual is how far point i lies above the line.
func (f Fit) Residual(i int) float64 {
	p := f.Points[i]
	off := p.Y - f.Intercepts[p.Part]
	for k, b := range f.Slopes {
		off -= b * p.X[k]
	}
	return off
}

// U is the standard uncertainty of slope k, by the points' own.
func (f Fit) U(k int) float64 { return math.Sqrt(f.Cov.At(k, k)) }

// At is the line's y of a part at x, and its variance by the points' own uncertainties.
func (f Fit) At(part int, x ...float64) (y, variance float64) {
	y, variance = f.Intercepts[part], 1/f.sum[part]
	for j := range x {
		y += f.Slopes[j] * x[j]
		for k := range x {
			variance += (x[j] - f.mean[part][j]) * f.Cov.At(j, k) * (x[k] - f.mean[part][k])
		}
	}
	return y, variance
}

// InterceptU is the standard uncertainty of a part's intercept, and its covariance with
// slope k, by the points' own.
func (f Fit) InterceptU(part, k int) (u, cov float64) {
	_, v := f.At(part, make([]float64, len(f.Slopes))...)
	for j, m := range f.mean[part] {
		cov -= m * f.Cov.At(j, k)
	}
	return math.Sqrt(v), cov
}

// Chance is the probability of a chi-square so large or larger.
func Chance(chi2 float64, free int) float64 {
	if free < 1 {
		return 1
	}
	return distuv.ChiSquared{K: float64(free)}.Survival(chi2)
}

// Chance is the probability that points on a line scatter as much as these or more.
func (f Fit) Chance() float64 { return Chance(f.Chi2, f.Free) }

// Mean is the weighted mean of the adjusted x of a part.
func (f Fit) Mean(part int) []float64 { return f.mean[part] }
