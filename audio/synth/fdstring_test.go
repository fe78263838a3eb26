package synth

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// An fdString is the stiff string cut into n pieces: T y″ − EI y⁗ = µ ÿ by
// central differences, ends pinned (y = y″ = 0). It knows nothing of modes.
type fdString struct {
	n      int
	h      float64
	c2, k2 float64 // T/µ, EI/µ
}

func newFDString(s String, n int) fdString {
	return fdString{n, s.Length / float64(n), s.Tension / s.UnitWeight, s.Stiffness / s.UnitWeight}
}

// static returns the shape under an even force on the nodes within width of the
// node at, scaled so that the same force on that node alone would reach height.
func (d fdString) static(at int, width, height float64) []float64 {
	m := d.n - 1
	k := mat.NewSymBandDense(m, 2, nil)
	a, b := d.c2/(d.h*d.h), d.k2/(d.h*d.h*d.h*d.h)
	for i := range m {
		k.SetSymBand(i, i, 2*a+6*b)
		if i == 0 || i == m-1 {
			k.SetSymBand(i, i, 2*a+5*b) // y₋₁ = −y₁
		}
		if i+1 < m {
			k.SetSymBand(i, i+1, -a-4*b)
		}
		if i+2 < m {
			k.SetSymBand(i, i+2, b)
		}
	}
	var chol mat.BandCholesky
	if !chol.Factorize(k) {
		panic("stiffness matrix is not positive definite")
	}
	solve := func(half int) *mat.VecDense {
		f, y := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
		for i := at - half; i <= at+half; i++ {
			w := 1 / float64(max(1, 2*half))
			if half > 0 && (i == at-half || i == at+half) {
				w /= 2
			}
			f.SetVec(i-1, w)
		}
		if err := chol.SolveVecTo(y, f); err != nil {
			panic(err)
		}
		return y
	}
	scale := height / solve(0).AtVec(at-1)
	y := make([]float64, d.n+1)
	for i, v := range solve(int(math.Round(width / 2 / d.h))).RawVector().Data {
		y[i+1] = scale * v
	}
	return y
}

// swing lets the string go from a shape and returns the velocity at a node for
// some steps of dt seconds, by leapfrog.
func (d fdString) swing(y []float64, node, steps int, dt float64) []float64 {
	n := d.n
	a, b := d.c2*dt*dt/(d.h*d.h), d.k2*dt*dt/(d.h*d.h*d.h*d.h)
	now := make([]float64, n+3) // nodes −1 to n+1
	copy(now[1:], y)
	before, next := make([]float64, n+3), make([]float64, n+3)
	push := func(u []float64, i int) float64 {
		return a*(u[i+1]-2*u[i]+u[i-1]) - b*(u[i+2]-4*u[i+1]+6*u[i]-4*u[i-1]+u[i-2])
	}
	pin := func(u []float64) { u[0], u[n+2] = -u[2], -u[n] }
	pin(now)
	for i := 2; i <= n; i++ { // from rest: y(−dt) = y(dt)
		before[i] = now[i] + push(now, i)/2
	}
	pin(before)
	v := make([]float64, steps)
	for k := range v {
		for i := 2; i <= n; i++ {
			next[i] = 2*now[i] - before[i] + push(now, i)
		}
		pin(next)
		v[k] = (next[node+1] - before[node+1]) / (2 * dt)
		before, now, next = now, next, before
	}
	return v
}

// project returns the amplitude of mode k in a shape, by the trapezoidal rule.
func project(y []float64, k int) float64 {
	var sum float64
	for i, v := range y {
		sum += v * math.Sin(math.Pi*float64(k*i)/float64(len(y)-1))
	}
	return 2 * sum / float64(len(y)-1)
}

// extrapolate removes the error ∝ 1/n² from results on grids of n and 2n pieces.
func extrapolate(n, twice float64) float64 { return twice + (twice-n)/3 }

func TestDeflectionIsTheStaticShape(t *testing.T) {
	const coarse, fine = 1000, 2000
	for name, c := range map[string]struct {
		b, point, width float64
	}{
		"flexible middle":  {0, 0.5, 0},
		"flexible near":    {0, 0.1, 0},
		"stiff":            {1e-4, 0.15, 0},
		"very stiff":       {1e-2, 0.3, 0},
		"finger":           {0, 0.15, 0.03},
		"stiff and finger": {1e-4, 0.2, 0.02},
	} {
		s := FromPitch(110, c.b)
		static := func(n int) []float64 {
			at := int(math.Round(c.point * float64(n)))
			return newFDString(s, n).static(at, c.width*s.Length, 0.003)
		}
		y0, y1 := static(coarse), static(fine)
		got := Pluck{Height: 0.003, Point: c.point, Width: c.width * s.Length}.Deflection(s, 40)
		first := math.Abs(got[0])
		for k := 1; k <= 40; k++ {
			want := extrapolate(project(y0, k), project(y1, k))
			if d := math.Abs(got[k-1]-want) / first; d > 1e-6 {
				t.Errorf("%s: mode %d is %g m, projected from the static shape %g (%.1e)", name, k, got[k-1], want, d)
			}
		}
	}
}

func TestDeflectionReachesItsHeight(t *testing.T) {
	for _, b := range []float64{0, 1e-5, 1e-3, 0.1} {
		for _, point := range []float64{0.03, 0.2, 0.5, 0.9} {
			p := Pluck{Height: 0.003, Point: point}
			var sum float64
			for i, a := range p.Deflection(FromPitch(110, b), 200000) {
				sum += a * math.Sin(float64(i+1)*math.Pi*point)
			}
			// The flexible string's series ends 1/count short of its corner.
			if d := math.Abs(sum/p.Height - 1); d > 4e-5 {
				t.Errorf("B %g, point %g: the modes add up to %g of the height", b, point, sum/p.Height)
			}
		}
	}
}

// TestAgainstTimeDomain integrates the partial differential equation from the
// static shape on two grids, extrapolates to none, and wants every partial of
// the velocity at the pickup with the frequency, amplitude and phase that the
// truth states.
func TestAgainstTimeDomain(t *testing.T) {
	s := undamped(FromPitch(110, 1e-4))
	k := take(s)
	k.Plucks[0] = Pluck{Height: 0.002, Point: 0.16}
	k.Pickup.At = 0.12
	const seconds, dt = 0.4, 8e-6
	type heard struct{ f, a, p float64 }
	grid := func(n int) (all []heard) {
		dt := dt * 200 / float64(n)
		d := newFDString(s, n)
		y := d.static(int(0.16*float64(n)+0.5), 0, 0.002)
		v := d.swing(y, int(0.12*float64(n)+0.5), int(seconds/dt), dt)
		for i := 1; i <= 10; i++ {
			f, a, p := tone(v, 1/dt, s.Partial(i))
			all = append(all, heard{f, a, p})
		}
		return all
	}
	coarse, fine := grid(200), grid(400)
	_, truth := render(t, k)
	for i, q := range truth.Plucks[0].Partials[:10] {
		f, p := extrapolate(coarse[i].f, fine[i].f), extrapolate(coarse[i].p, fine[i].p)
		a := extrapolate(coarse[i].a, fine[i].a) / extrapolate(coarse[0].a, fine[0].a)
		if d := cents(f, q.Freq); math.Abs(d) > 2e-4 {
			t.Errorf("partial %d: integrated %g Hz, stated %g Hz", q.N, f, q.Freq)
		}
		// The truth is scaled to full scale: amplitudes compare over the first's.
		want := q.Amp / truth.Plucks[0].Partials[0].Amp
		if math.Abs(a/want-1) > 3e-5 {
			t.Errorf("partial %d: integrated amplitude %g, stated %g", q.N, a, want)
		}
		if d := math.Remainder(p-q.Phase, 2*math.Pi); math.Abs(d) > 1e-4 {
			t.Errorf("partial %d: integrated phase %g, stated %g", q.N, p, q.Phase)
		}
		t.Logf("partial %2d: %+.6f cent, amplitude %+.1e, phase %+.1e", q.N, cents(f, q.Freq), a/want-1,
			math.Remainder(p-q.Phase, 2*math.Pi))
	}
}
