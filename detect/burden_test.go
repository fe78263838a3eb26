package detect

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// eigenWaves are the lowest frequencies of a loaded pinned stiff string over f0, from
// an eigenproblem: sines, and the shape that the burden's own force gives the string at
// rest, without which the corner at the burden would take thousands of sines.
func eigenWaves(count int, b, ratio, at float64) []float64 {
	const sines = 240
	n := sines + 1
	K, M := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	var s, w, static [sines]float64
	for i := range sines {
		m := float64(i + 1)
		s[i] = math.Sin(m * math.Pi * at)
		w[i] = m * m * (1 + b*m*m)
		static[i] = s[i] / w[i]
	}
	var give, heavy float64 // of the static shape: stiffness and mass, sines beyond included
	for i := 1; i <= 400000; i++ {
		m := float64(i)
		x, k := math.Sin(m*math.Pi*at), m*m*(1+b*m*m)
		give += x * x / k
		heavy += x * x / (k * k)
	}
	shape := func(i int) float64 { // where the burden sits
		if i < sines {
			return s[i]
		}
		return give
	}
	for i := range sines {
		K.SetSym(i, i, w[i])
		M.SetSym(i, i, 1)
		K.SetSym(i, sines, w[i]*static[i])
		M.SetSym(i, sines, static[i])
	}
	K.SetSym(sines, sines, give)
	M.SetSym(sines, sines, heavy)
	for i := range n {
		for j := i; j < n; j++ {
			M.SetSym(i, j, M.At(i, j)+2*ratio*shape(i)*shape(j))
		}
	}
	return waves(K, M, count)
}

// waves are the square roots of the lowest eigenvalues of K v = λ M v.
func waves(K, M *mat.SymDense, count int) []float64 {
	n := K.SymmetricDim()
	// K v = λ M v by the Cholesky factor of M.
	var ch mat.Cholesky
	if !ch.Factorize(M) {
		panic("mass matrix is not positive")
	}
	var l mat.TriDense
	ch.LTo(&l)
	var half, full mat.Dense
	if err := half.Solve(&l, K); err != nil {
		panic(err)
	}
	if err := full.Solve(&l, half.T()); err != nil {
		panic(err)
	}
	sym := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sym.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	var e mat.EigenSym
	if !e.Factorize(sym, false) {
		panic("no eigenvalues")
	}
	out := e.Values(nil)[:count]
	for i := range out {
		out[i] = math.Sqrt(out[i])
	}
	return out
}

func TestBurdenAgainstEigenproblem(t *testing.T) {
	for _, c := range []struct{ b, ratio, off float64 }{
		{0, 0.05, 0}, {1e-4, 0.03, 0}, {3e-4, 0.12, 0.003}, {3e-4, 0.12, 0.02}, {1e-3, 0.33, 0.001}, {5e-5, 0.08, 0.17},
	} {
		bu := burden{ratio: c.ratio, off2: c.off * c.off}
		for i, want := range eigenWaves(24, c.b, c.ratio, 0.5+c.off) {
			a := bu.wave(i+1, c.b, 0)
			got := a * math.Sqrt(1+c.b*a*a)
			if off := 1200 * math.Log2(got/want); math.Abs(off) > 0.01 {
				t.Errorf("B %g, ratio %g, %g off the middle: partial %d is %.8f, want %.8f (%.4f cents)", c.b, c.ratio, c.off, i+1, got, want, off)
			}
		}
	}
}

// A flexible string loaded at its middle: tan(πa/2) = 2/(π ratio a) for odd partials,
// and the condition at any place, sin(kx) sin(k(L-x)) m k/µ = sin(kL) (derived).
func TestBurdenClosedForms(t *testing.T) {
	for _, ratio := range []float64{0.005, 0.05, 0.12, 0.33} {
		for n := 1; n <= 40; n++ {
			a := burden{ratio: ratio}.wave(n, 0, 0)
			if n%2 == 0 {
				if math.Abs(a-float64(n)) > 1e-9 {
					t.Errorf("ratio %g: even partial %d lies at %g", ratio, n, a)
				}
				continue
			}
			if got := math.Tan(math.Pi*a/2) * math.Pi * ratio * a / 2; math.Abs(got-1) > 1e-8 {
				t.Errorf("ratio %g: partial %d at %g gives %g, want 1", ratio, n, a, got)
			}
		}
		const off = 0.013
		for n := 1; n <= 40; n++ {
			k := math.Pi * burden{ratio: ratio, off2: off * off}.wave(n, 0, 0)
			left, right := math.Sin(k*(0.5+off))*math.Sin(k*(0.5-off))*ratio*k, math.Sin(k)
			if math.Abs(left-right) > 1e-8*k {
				t.Errorf("ratio %g: partial %d: %g is not %g", ratio, n, left, right)
			}
		}
	}
}

func TestBurdenSens(t *testing.T) {
	at := law{100, 2e-4}
	bu := burden{0.08, 3e-5, 0.006, 4e-5}
	steps := [laws]float64{1e-6, 1e-6, 1e-5, 1e-6, 1e-5, 1e-6}
	for n := 1; n <= 15; n++ {
		for i, got := range bu.sens(at, n) {
			lnf := func(h float64) float64 {
				m := bu.moved(at, i, h)
				return math.Log(m.partial(m.law, n))
			}
			want := (lnf(steps[i]) - lnf(-steps[i])) / (2 * steps[i])
			if math.Abs(got-want) > 1e-3*math.Abs(want)+1e-4 {
				t.Errorf("partial %d by parameter %d: %g, want %g", n, i, got, want)
			}
		}
	}
	if f := (burden{}).partial(at, 7); f != at.hz(7) {
		t.Errorf("without a burden partial 7 lies at %g", f)
	}
}

// A stiff clip holds a stretch w of a flexible string straight: odd partials are those
// of half a string each side, (L-w)/2 long, at whose end half of the clip's mass and of
// the stretch's moves: cot(kl) = (m+µw) k/(2µ) (derived).
func TestBurdenStiff(t *testing.T) {
	for _, wide := range []float64{0.002, 0.006, 0.012} {
		const ratio = 0.06
		bu := burden{ratio: ratio, wide: wide}
		for n := 1; n <= 13; n += 2 {
			k := math.Pi * bu.wave(n, 0, 0)
			// The root of the exact condition nearby, by Newton's method.
			x := k
			for range 20 {
				g := func(x float64) float64 {
					s, c := math.Sincos(x * (1 - wide) / 2)
					return c - (ratio+wide)*x/2*s
				}
				x -= g(x) * 2e-6 / (g(x+1e-6) - g(x-1e-6))
			}
			point := 1200 * math.Log2(math.Pi*burden{ratio: ratio}.wave(n, 0, 0)/x)
			if off := 1200 * math.Log2(k/x); math.Abs(off) > 1e-6 {
				t.Errorf("w %g: partial %d lies %.3f cents off, a point's %.3f", wide, n, off, point)
			}
		}
	}
}
