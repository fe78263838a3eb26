package straight

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// Without errors in x a plane with parts is weighted least squares with a column for each
// part, solved by gonum's QR.
func TestPlaneBesideLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	const n, parts = 14, 3
	var points []Point
	a, b := mat.NewDense(n, parts+2, nil), mat.NewVecDense(n, nil)
	for i := range n {
		p := Point{X: []float64{r.Float64(), 5 * r.Float64()}, UX: []float64{0, 0}, Y: r.NormFloat64(), UY: 0.1 + r.Float64(), Part: i % parts}
		points = append(points, p)
		a.Set(i, p.Part, 1/p.UY)
		a.Set(i, parts, p.X[0]/p.UY)
		a.Set(i, parts+1, p.X[1]/p.UY)
		b.SetVec(i, p.Y/p.UY)
	}
	f, ok := Through(points)
	if !ok {
		t.Fatal("no plane")
	}
	var want, product, inverse mat.Dense
	if err := want.Solve(a, b); err != nil {
		t.Fatal(err)
	}
	product.Mul(a.T(), a)
	if err := inverse.Inverse(&product); err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-10*(1+math.Abs(want)) {
			t.Errorf("%s: %v, not %v", what, got, want)
		}
	}
	for g := range parts {
		near("intercept", f.Intercepts[g], want.At(g, 0))
		u, cov := f.InterceptU(g, 1)
		near("its u", u, math.Sqrt(inverse.At(g, g)))
		near("its covariance with a slope", cov, inverse.At(g, parts+1))
	}
	for k := range 2 {
		near("slope", f.Slopes[k], want.At(parts+k, 0))
		near("its u", f.U(k), math.Sqrt(inverse.At(parts+k, parts+k)))
	}
	_, v := f.At(1, 0.3, 2)
	x := mat.NewVecDense(parts+2, []float64{0, 1, 0, 0.3, 2})
	near("variance of the plane", v, mat.Inner(x, &inverse, x))
	if f.Free != n-parts-2 {
		t.Errorf("%d degrees of freedom", f.Free)
	}
}

// With errors in both x the plane is the one from which the points lie least far, as found
// by a search that knows nothing of York's equations.
func TestPlaneIsLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var points []Point
	for range 12 {
		x, y := 10*r.Float64(), 10*r.Float64()
		points = append(points, Point{X: []float64{x + r.NormFloat64(), y + 0.5*r.NormFloat64()}, UX: []float64{1, 0.5}, Y: 3 + 2*x - y + r.NormFloat64(), UY: 1})
	}
	f, ok := Through(points)
	if !ok {
		t.Fatal("no plane")
	}
	chi2 := func(a, b, c float64) (sum float64) {
		for _, p := range points {
			d := p.Y - a - b*p.X[0] - c*p.X[1]
			sum += d * d / (1 + b*b + 0.25*c*c)
		}
		return sum
	}
	least := chi2(f.Intercepts[0], f.Slopes[0], f.Slopes[1])
	if math.Abs(least-f.Chi2) > 1e-9*least {
		t.Errorf("chi-square %v, not %v", f.Chi2, least)
	}
	for range 20000 {
		const h = 1e-3
		if c := chi2(f.Intercepts[0]+10*h*r.NormFloat64(), f.Slopes[0]+h*r.NormFloat64(), f.Slopes[1]+h*r.NormFloat64()); c < least*(1-1e-9) {
			t.Fatalf("%v is less than %v", c, least)
		}
	}
}
