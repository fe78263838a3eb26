package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestPredictor: of an autoregressive process it finds the coefficients that made it.
func TestPredictor(t *testing.T) {
	want := []float64{1.6, -0.8}
	e := whiteNoise(40000, 1, 3)
	x := make([]float64, len(e))
	for i := 2; i < len(x); i++ {
		x[i] = want[0]*x[i-1] + want[1]*x[i-2] + e[i]
	}
	for j, a := range predictor(x, 4) {
		w := 0.0
		if j < len(want) {
			w = want[j]
		}
		near(t, "coefficient", a, w, 0.02) // of 40 000 samples: ± 0.005
	}
	for _, a := range predictor(make([]float64, 100), 4) {
		near(t, "coefficient of silence", a, 0, 0)
	}
}

// TestMoment: a pluck's moment is found to within half a millisecond, behind white
// noise, a rumble and a string that rings already.
func TestMoment(t *testing.T) {
	const rate, n = 24000.0, 24000
	r := rand.New(rand.NewPCG(7, 1))
	for trial := range 20 {
		at := 0.4 + 0.2*r.Float64()
		first := int(math.Ceil(at * rate))
		hz := 40 * math.Exp2(4*r.Float64())
		x := whiteNoise(n, 0.02, uint64(trial))
		for i := range x {
			s := float64(i) / rate
			x[i] += 0.3 * math.Sin(2*math.Pi*7*s)
			if trial%2 == 0 {
				x[i] += 0.05 * math.Exp(-s) * math.Sin(2*math.Pi*147*s)
			}
		}
		for k := 1; k <= 12; k++ {
			tone := damped(n-first, rate, float64(k)*hz, 2+0.1*float64(k*k), 0.3/float64(k), 2*math.Pi*r.Float64())
			for i, v := range tone {
				x[first+i] += v
			}
		}
		for _, off := range []float64{-0.008, 0, 0.015} {
			if got := moment(x, rate, at+off); math.Abs(got-at) > 0.0005 {
				t.Errorf("%.0f Hz, the envelope %+.0f ms off: %+.2f ms", hz, 1000*off, 1000*(got-at))
			}
		}
	}
}

// TestMomentUnknown: with no sound before it, or where nothing begins, an onset stays
// where it was.
func TestMomentUnknown(t *testing.T) {
	x := whiteNoise(24000, 0.1, 1)
	for _, at := range []float64{0, 0.05, 0.5, 0.999, 1} {
		near(t, "moment", moment(x, 24000, at), at, 0)
	}
	near(t, "moment of silence", moment(make([]float64, 24000), 24000, 0.5), 0.5, 0)
	near(t, "moment of nothing", moment(nil, 24000, 0), 0, 0)
}
