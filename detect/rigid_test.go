package detect

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// rigidWaves are the frequencies over f0 of a pinned stiff string in the middle of which
// a rigid clip holds a stretch straight, by finite elements (cubic ones) on one half of
// it, where the other moves alike (odd partials: the clip goes up and down) or contrary
// (even ones: it rocks). gyr is the clip's radius of gyration; lengths are fractions of
// the string's.
func rigidWaves(count int, b, ratio, wide, gyr float64) (out []float64) {
	odd := rigidHalf((count+1)/2, b, ratio, wide, gyr, false)
	even := rigidHalf(count/2, b, ratio, wide, gyr, true)
	for i := range count {
		if i%2 == 0 {
			out = append(out, odd[i/2])
		} else {
			out = append(out, even[i/2])
		}
	}
	return out
}

func rigidHalf(count int, b, ratio, wide, gyr float64, rocks bool) []float64 {
	const elements = 120
	// In units in which f0 is 1/2π: T = 1/π², µ = 1, EI = B T/π².
	const pull = 1 / (math.Pi * math.Pi)
	bend := b * pull / (math.Pi * math.Pi)
	size := 2 * (elements + 1)
	K, M := mat.NewDense(size, size, nil), mat.NewDense(size, size, nil)
	reach := (1 - wide) / 2
	node := func(i int) float64 { // short at the ends
		s := float64(i) / elements
		return reach * (s - 0.9*math.Sin(2*math.Pi*s)/(2*math.Pi))
	}
	for e := range elements {
		h := node(e+1) - node(e)
		kb := [4][4]float64{{12, 6 * h, -12, 6 * h}, {6 * h, 4 * h * h, -6 * h, 2 * h * h}, {-12, -6 * h, 12, -6 * h}, {6 * h, 2 * h * h, -6 * h, 4 * h * h}}
		kt := [4][4]float64{{36, 3 * h, -36, 3 * h}, {3 * h, 4 * h * h, -3 * h, -h * h}, {-36, -3 * h, 36, -3 * h}, {3 * h, -h * h, -3 * h, 4 * h * h}}
		m := [4][4]float64{{156, 22 * h, 54, -13 * h}, {22 * h, 4 * h * h, 13 * h, -3 * h * h}, {54, 13 * h, 156, -22 * h}, {-13 * h, -3 * h * h, -22 * h, 4 * h * h}}
		for i := range 4 {
			for j := range 4 {
				p, q := 2*e+i, 2*e+j
				K.Set(p, q, K.At(p, q)+bend/(h*h*h)*kb[i][j]+pull/(30*h)*kt[i][j])
				M.Set(p, q, M.At(p, q)+h/420*m[i][j])
			}
		}
	}
	// What is free: slope at the pin, all inside, and of the clip its height or its
	// angle, to which the last node's deflection and slope are tied.
	free := size - 2
	P := mat.NewDense(size, free, nil)
	for j := range free - 1 {
		P.Set(j+1, j, 1)
	}
	if rocks {
		P.Set(size-2, free-1, -wide/2)
		P.Set(size-1, free-1, 1)
	} else {
		P.Set(size-2, free-1, 1)
	}
	reduce := func(A *mat.Dense) *mat.SymDense {
		var AP, PAP mat.Dense
		AP.Mul(A, P)
		PAP.Mul(P.T(), &AP)
		s := mat.NewSymDense(free, nil)
		for i := range free {
			for j := i; j < free; j++ {
				s.SetSym(i, j, PAP.At(i, j))
			}
		}
		return s
	}
	k, m := reduce(K), reduce(M)
	last := free - 1
	if rocks { // half of the clip's and its stretch's inertia, and of what tension does to a tilted stretch
		m.SetSym(last, last, m.At(last, last)+(ratio*gyr*gyr+wide*wide*wide/12)/2)
		k.SetSym(last, last, k.At(last, last)+pull*wide/2)
	} else {
		m.SetSym(last, last, m.At(last, last)+(ratio+wide)/2)
	}
	return waves(k, m, count)
}

// Odd partials are exact; even ones are told to a tenth of what rocking does to them,
// while they lie well below the resonance of the clip on its stretch.
func TestBurdenRigid(t *testing.T) {
	for _, c := range []struct{ b, ratio, wide, gyr float64 }{
		{5e-5, 0.06, 0.004, 0.002}, {1e-4, 0.05, 0.006, 0.004}, {3e-4, 0.1, 0.008, 0.006}, {2e-5, 0.04, 0.006, 0.004},
	} {
		bu := burden{ratio: c.ratio, wide: c.wide, turn: c.gyr * c.gyr}
		for i, want := range rigidWaves(12, c.b, c.ratio, c.wide, c.gyr) {
			off := 1200 * math.Log2(bu.partial(law{1, c.b}, i+1)/want)
			point := 1200 * math.Log2(burden{ratio: c.ratio}.partial(law{1, c.b}, i+1)/want)
			within := 0.002
			if i%2 == 1 {
				within += 0.12 * math.Abs(point)
			}
			if math.Abs(off) > within {
				t.Errorf("%v: partial %d lies %.4f cents off, that of a point %.3f", c, i+1, off, point)
			}
		}
	}
}

// A clip is no point: one of some millimetres that holds its stretch of the string
// straight and rocks on it weighs the string all the same.
func TestRigidClipWeighs(t *testing.T) {
	const rate = 48000
	for _, c := range []struct{ hz, b, ratio, wide, gyr float64 }{
		{55, 6e-5, 0.06, 0.003, 0.002}, {82.4, 1e-4, 0.04, 0.006, 0.004}, {110, 2e-4, 0.1, 0.007, 0.005}, {196, 4e-5, 0.06, 0.006, 0.004},
	} {
		x := whiteNoise(3*rate, 0.004, uint64(c.hz))
		for n, f := range rigidWaves(24, c.b, c.ratio, c.wide, c.gyr) {
			m := float64(n + 1)
			amp := 0.2 / m * math.Abs(math.Sin(0.53*m))
			for i, v := range damped(len(x)-rate/2, rate, c.hz*f, 0.8+0.03*m+0.004*m*m, amp, m) {
				x[rate/2+i] += v
			}
		}
		take, err := AnalyzeLoaded(x, rate, Mass{}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if take.Reading == nil {
			t.Errorf("%v: refused, %v", c, take.Plucks)
			continue
		}
		got := take.Reading.Load.Ratio
		t.Logf("%v: ratio %.6f ± %.6f", c, got.V, got.U)
		if off := math.Abs(got.V - c.ratio); off > 2.5*got.U || off > 0.005*c.ratio {
			t.Errorf("%v: ratio %.6f ± %.6f", c, got.V, got.U)
		}
	}
}
