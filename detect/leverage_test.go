package detect

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// TestLeverage: where the highest partials scatter more than the rest, B scatters more than
// one scatter of all would have it; what leverage adds makes up for that. The law is fitted
// to each draw by a QR decomposition.
func TestLeverage(t *testing.T) {
	const n, u, tau, draws = 14, 5e-5, 4e-4, 400
	r := rand.New(rand.NewPCG(7, 8))
	for _, c := range []struct {
		name        string
		spread      func(k int) float64
		least, most float64 // variance said over variance seen
	}{
		{"all alike", func(int) float64 { return tau }, 0.9, 1.7},
		{"the highest two", func(k int) float64 {
			if k > n-2 {
				return 3 * tau
			}
			return tau / 2
		}, 0.8, 1.7},
	} {
		var lf, b, said0, said1 []float64
		plain0, plain1 := 0.0, 0.0
		for range draws {
			off := make([]float64, n+1)
			for k := range off {
				off[k] = c.spread(k) * r.NormFloat64()
			}
			f := lawFit(n, func(k int) float64 { return off[k] }, u)
			f.tau = tau
			a, y := mat.NewDense(n+1, 2, nil), mat.NewVecDense(n+1, nil)
			for i, l := range f.lines {
				m2 := float64(l.n * l.n)
				w := 1 / (tau * 1.0078) // and u
				a.SetRow(i, []float64{w, w * m2 / (2 * (1 + f.b*m2))})
				y.SetVec(i, w*off[l.n])
			}
			a.Set(n, 1, 1/bSpread)
			var x mat.VecDense
			if err := x.SolveVec(a, y); err != nil {
				t.Fatal(err)
			}
			var gram, inv mat.Dense
			gram.Mul(a.T(), a)
			if err := inv.Inverse(&gram); err != nil {
				t.Fatal(err)
			}
			plain0, plain1 = inv.At(0, 0), inv.At(1, 1)
			f0, fb := f.leverage()
			lf, b = append(lf, x.AtVec(0)), append(b, x.AtVec(1))
			said0, said1 = append(said0, f0*plain0), append(said1, fb*plain1)
		}
		for _, v := range []struct {
			name        string
			said, plain float64
			seen        float64
		}{{"ln f0", stat.Mean(said0, nil), plain0, stat.Variance(lf, nil)}, {"B", stat.Mean(said1, nil), plain1, stat.Variance(b, nil)}} {
			ratio := v.said / v.seen
			t.Logf("%s, %s: variance said %.2f of what is seen, without leverage %.2f", c.name, v.name, ratio, v.plain/v.seen)
			if ratio < c.least || ratio > c.most {
				t.Errorf("%s: variance of %s said is %.2f of what is seen, want %.1f to %.1f", c.name, v.name, ratio, c.least, c.most)
			}
		}
	}
	if f0, b := lawFit(3, func(int) float64 { return 0 }, u).leverage(); f0 != 1 || b != 1 {
		t.Errorf("of three partials: %g, %g", f0, b)
	}
}
