package detect

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func TestRoot(t *testing.T) {
	for _, want := range []float64{1e-7, 3e-4, 0.02, 0.0999} {
		near(t, "root", root(func(x float64) float64 { return want - x })/want, 1, 1e-6)
	}
	if got := root(func(x float64) float64 { return -x }); got != 0 {
		t.Errorf("a function that starts at zero has its root at %g", got)
	}
	near(t, "no root below 10 %", root(func(float64) float64 { return 1 }), 0.1, 1e-6)
}

// TestMandelPaule: of the thirteen trials Mandel & Paule's equation, Σ w(y-ȳ)² = k-1
// with w = 1/(u²+τ²), gives τ² = 0.3181 (from memory). Root seeks below 10 %: all
// is scaled down by ten.
func TestMandelPaule(t *testing.T) {
	vs := bcg()
	chi := func(tau float64) float64 {
		var sw, sy, q float64
		for _, v := range vs {
			w := 1 / (v.U*v.U/100 + tau*tau)
			sw, sy = sw+w, sy+w*v.V/10
		}
		for _, v := range vs {
			q += math.Pow(v.V/10-sy/sw, 2) / (v.U*v.U/100 + tau*tau)
		}
		return q - float64(len(vs)-1)
	}
	tau := root(chi)
	near(t, "τ²", 100*tau*tau, 0.3181, 5e-5)
}

// lawFit is a fit of n partials that lie off the law by off (relative) and are
// each known to u (relative).
func lawFit(n int, off func(n int) float64, u float64) *fit {
	f := &fit{law: law{100, 1e-4}, fr: blankFrame(20000, 22050)}
	for k := 1; k <= n; k++ {
		l := &line{n: k, hz: f.hz(k), amp: 1, snr: 1e6, used: true}
		l.info[0][0] = 1 / (u * l.hz * u * l.hz)
		l.grad[0] = off(k) * l.hz * l.info[0][0]
		f.lines = append(f.lines, l)
	}
	return f
}

// aboutLaw is what fit.misfit is, by a QR decomposition: a row for each line, and one
// for the likely spread of B.
func aboutLaw(f *fit, off func(n int) float64, u, tau float64) float64 {
	n := len(f.lines)
	a, y := mat.NewDense(n+1, 2, nil), mat.NewVecDense(n+1, nil)
	w := 1 / math.Hypot(u, tau)
	for i, l := range f.lines {
		m2 := float64(l.n * l.n)
		a.SetRow(i, []float64{w, w * m2 / (2 * (1 + f.b*m2))})
		y.SetVec(i, w*off(l.n))
	}
	a.Set(n, 1, 1/bSpread)
	var x, left mat.VecDense
	if err := x.SolveVec(a, y); err != nil {
		panic(err)
	}
	left.MulVec(a, &x)
	left.SubVec(y, &left)
	return mat.Dot(&left, &left)
}

func TestReweigh(t *testing.T) {
	alternate := func(n int) float64 { return 1e-4 * float64(1-2*(n%2)) }
	t.Run("noise explains", func(t *testing.T) {
		f := lawFit(12, alternate, 2e-4)
		f.reweigh()
		if f.tau != 0 {
			t.Errorf("scatter %g", f.tau)
		}
		near(t, "χ² per degree of freedom", f.chi2, aboutLaw(f, alternate, 2e-4, 0)/10, 1e-9)
	})
	t.Run("scatter beyond noise", func(t *testing.T) {
		f := lawFit(12, alternate, 2e-5)
		if !f.reweigh() {
			t.Error("a new scatter needs another fit")
		}
		near(t, "χ² with it per degree of freedom", aboutLaw(f, alternate, 2e-5, f.tau)/10, 1, 1e-6)
		for range 3 { // unchanged, it is done
			if f.reweigh() {
				t.Error("the same scatter needs no other fit")
			}
		}
	})
	t.Run("a law found for more scatter", func(t *testing.T) {
		// All lines lie where another law has them: they do not scatter about that one.
		f := lawFit(12, func(n int) float64 { return 3e-6 + 2e-8*float64(n*n) }, 1e-7)
		f.tau = 1e-4
		f.reweigh()
		if f.tau != 0 {
			t.Errorf("scatter %g", f.tau)
		}
	})
	t.Run("an outlier", func(t *testing.T) {
		f := lawFit(12, func(n int) float64 {
			if n == 7 {
				return 5e-3
			}
			return alternate(n)
		}, 1e-4)
		f.reweigh()
		if l := f.lines[6]; l.used || !l.out {
			t.Error("the outlier is kept")
		}
		if n := len(f.used()); n != 11 {
			t.Errorf("%d lines kept, want 11", n)
		}
		if len(f.strays) != 1 || math.Abs(f.strays[0].hz/f.hz(7)-1.005) > 1e-9 {
			t.Errorf("the outlier is not modelled on its own: %v", f.strays)
		}
	})
	t.Run("half of them off", func(t *testing.T) {
		f := lawFit(12, func(n int) float64 { return alternate(n) * 30 * float64(n/7) }, 1e-5)
		f.reweigh()
		if n := len(f.used()); n < 9 {
			t.Errorf("%d lines kept, at most a quarter may be set aside", n)
		}
	})
	t.Run("unheard", func(t *testing.T) {
		f := lawFit(6, alternate, 1e-4)
		f.lines[3].snr = leastSNR - 1
		f.reweigh()
		if f.lines[3].used || f.lines[3].amp != 0 {
			t.Error("a line under the noise is kept")
		}
	})
}

// TestRelaxed: with an offset of spread τ its information is what two variances in
// series leave, 1/(u² + τ²hz²), whatever else it senses.
func TestRelaxed(t *testing.T) {
	f := lawFit(3, func(int) float64 { return 2e-4 }, 1e-4)
	l := f.lines[2]
	info, grad := l.relaxed(3e-4)
	u2, t2 := 1/l.info[0][0], math.Pow(3e-4*l.hz, 2)
	near(t, "information", info[0][0]*(u2+t2), 1, 1e-12)
	near(t, "step", grad[0]/info[0][0], 2e-4*l.hz, 1e-9)
	near(t, "offset, the law standing still", l.offset(3e-4, [shared]float64{}), 2e-4*l.hz*t2/(u2+t2), 1e-12)
	if info, grad := l.relaxed(0); info != l.info || grad != l.grad || l.offset(0, [shared]float64{}) != 0 {
		t.Error("without scatter nothing is relaxed")
	}
	own := l.own()
	near(t, "own frequency", own.V, l.hz*(1+2e-4), 1e-9)
	near(t, "its uncertainty", own.U, 1e-4*l.hz, 1e-9)
	if own := (&line{hz: 5}).own(); own.V != 5 || !math.IsInf(own.U, 1) {
		t.Errorf("a line that says nothing: %v", own)
	}
}

func TestSmooth(t *testing.T) {
	var want []int
	for n := 1; n <= 3000; n++ {
		m := n
		for _, p := range []int{2, 3, 5} {
			for m%p == 0 {
				m /= p
			}
		}
		if m == 1 || m == 7 || m == 11 || m == 13 {
			want = append(want, n)
		}
		if got := smooth(n); got != want[len(want)-1] {
			t.Fatalf("%d: %d, want %d", n, got, want[len(want)-1])
		}
	}
	if !slices.Contains(want, 2880) {
		t.Error("2880 is smooth")
	}
}
