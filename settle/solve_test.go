package settle

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// Levels, b and the coefficient of warmth, and their covariances, beside the normal
// equations of all of them as gonum inverts them.
func TestSolveBesideNormalEquations(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	const n, parts, u = 40, 3, 0.7
	points := make([]point, n)
	for i := range points {
		points[i] = point{t: float64(i) / n, y: 10 * random.NormFloat64(), warm: random.NormFloat64(),
			weight: 0.2 + random.Float64(), part: i * parts / n}
	}
	for _, law := range laws {
		for _, warm := range []float64{0, u} {
			s := solve(points, parts, law, 0.3, warm, make([]float64, n))
			columns := parts // then b, then k, as far as there are
			at := func(p point, j int) float64 {
				switch {
				case j < parts:
					if p.part == j {
						return 1
					}
					return 0
				case j == parts && law.sloped():
					return law.shape(p.t, 0.3)
				}
				return p.warm
			}
			if law.sloped() {
				columns++
			}
			if warm > 0 {
				columns++
			}
			normal, right := mat.NewSymDense(columns, nil), mat.NewVecDense(columns, nil)
			for _, p := range points {
				for j := range columns {
					right.SetVec(j, right.AtVec(j)+p.weight*at(p, j)*p.y)
					for k := j; k < columns; k++ {
						normal.SetSym(j, k, normal.At(j, k)+p.weight*at(p, j)*at(p, k))
					}
				}
			}
			if warm > 0 { // what was known of the coefficient
				normal.SetSym(columns-1, columns-1, normal.At(columns-1, columns-1)+1/warm/warm)
			}
			var x mat.VecDense
			var inverse mat.Dense
			if err := x.SolveVec(normal, right); err != nil {
				t.Fatal(err)
			}
			if err := inverse.Inverse(normal); err != nil {
				t.Fatal(err)
			}
			same := func(what string, got, want float64) {
				t.Helper()
				if math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
					t.Errorf("%v, warmth %v: %s is %v, not %v", law, warm, what, got, want)
				}
			}
			chi2 := 0.0
			for _, p := range points {
				r := p.y
				for j := range columns {
					r -= at(p, j) * x.AtVec(j)
				}
				chi2 += p.weight * r * r
			}
			if law.sloped() {
				same("b", s.b, x.AtVec(parts))
				same("variance of b", s.bb, inverse.At(parts, parts))
			}
			if warm > 0 {
				k := x.AtVec(columns - 1)
				chi2 += k * k / warm / warm
				same("k", s.k, k)
				same("variance of k", s.kk, inverse.At(columns-1, columns-1))
			}
			same("chi-squared", s.chi2, chi2)
			a, v := s.a()
			// Shapes are zero at no time but for the exponential's, where a is what it comes to.
			same("a", a, x.AtVec(0))
			same("variance of a", v, inverse.At(0, 0))
			size, v := s.step(2)
			same("step", size, x.AtVec(2)-x.AtVec(1))
			same("variance of the step", v, inverse.At(2, 2)+inverse.At(1, 1)-2*inverse.At(1, 2))
			y, v := s.at(0.9, 0.4, 2)
			want, wide := 0.0, 0.0
			for j := range columns {
				p := point{t: 0.9, warm: 0.4, part: 2}
				want += at(p, j) * x.AtVec(j)
				for k := range columns {
					wide += at(p, j) * at(p, k) * inverse.At(j, k)
				}
			}
			same("pitch", y, want)
			same("variance of the pitch", v, wide)
		}
	}
}

// The best τ beside a general minimiser, which knows nothing of linear parameters.
func TestBestTauBesideMinimiser(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	for _, law := range []Law{Logarithmic, Exponential} {
		all := series(random, 60, 3600, func(t float64) float64 { return 3 - 5*law.shape(t, 700) }, 0.05, 0, 0)
		f := newFitter(all, nil)
		f.gather(&mixture{weight: ones(len(all))})
		got := solve(f.blocks, 1, law, f.bestTau(law, 1, 0), 0, f.shapes)
		slow, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 {
			sum := 0.0
			for _, r := range all {
				d := (r.Cents - x[0] - x[1]*law.shape(r.At/3600, math.Exp(x[2]))) / r.U
				sum += d * d
			}
			return sum
		}}, []float64{1, -1, -1}, &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-12, Iterations: 2000}}, &optimize.NelderMead{})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.chi2-slow.F) > 1e-5*slow.F {
			t.Errorf("%v: chi-squared %v, and the minimiser finds %v", law, got.chi2, slow.F)
		}
		a, _ := got.a()
		for i, pair := range [][2]float64{{a, slow.X[0]}, {got.b, slow.X[1]}, {math.Log(got.tau), slow.X[2]}} {
			if math.Abs(pair[0]-pair[1]) > 1e-3*(1+math.Abs(pair[1])) {
				t.Errorf("%v: parameter %d is %v, and the minimiser finds %v", law, i, pair[0], pair[1])
			}
		}
	}
}

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// Readings gathered into blocks give what all of them do, one by one.
func TestMeanChangesNothing(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	for _, law := range []Law{Logarithmic, Exponential} {
		all := series(random, 30_000, 86_400, func(t float64) float64 { return 3 - 5*law.shape(t, 4000) }, 0.05, 0, 0)
		f := newFitter(all, nil)
		f.gather(&mixture{weight: ones(len(all))})
		if len(f.blocks) > 6000 {
			t.Errorf("%d blocks of %d readings", len(f.blocks), len(all))
		}
		tau := f.bestTau(law, 1, 0)
		fast, slow := solve(f.blocks, 1, law, tau, 0, f.shapes), solve(f.points, 1, law, tau, 0, f.shapes)
		if d := math.Abs(fast.b-slow.b) / math.Sqrt(slow.bb); d > 0.01 {
			t.Errorf("%v: b differs by %v of its uncertainty", law, d)
		}
		if d := fast.bb / slow.bb; math.Abs(d-1) > 1e-3 {
			t.Errorf("%v: variance of b is %v of what it should be", law, d)
		}
		f.blocks = f.points
		if d := math.Log(f.bestTau(law, 1, 0) / tau); math.Abs(d) > 1e-4 {
			t.Errorf("%v: τ differs by %v", law, d)
		}
	}
}
