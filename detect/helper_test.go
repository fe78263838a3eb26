package detect

import (
	"math"
	"math/rand/v2"
	"testing"

	"pluckweigh/audio/synth"
)

// whiteNoise is n samples of Gaussian noise of standard deviation sigma.
func whiteNoise(n int, sigma float64, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float64, n)
	for i := range x {
		x[i] = sigma * r.NormFloat64()
	}
	return x
}

// damped is n samples of amp·e^(-αt)·cos(2πft + phase).
func damped(n int, rate, hz, alpha, amp, phase float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		t := float64(i) / rate
		x[i] = amp * math.Exp(-alpha*t) * math.Cos(2*math.Pi*hz*t+phase)
	}
	return x
}

// plus adds y to a copy of x.
func plus(x, y []float64) []float64 {
	out := make([]float64, len(x))
	for i := range out {
		out[i] = x[i] + y[i]
	}
	return out
}

// rendered is a synthetic take's samples and their truth.
func rendered(tb testing.TB, tk synth.Take) ([]float64, synth.Truth) {
	tb.Helper()
	x, truth, err := tk.Render()
	if err != nil {
		tb.Fatal(err)
	}
	return x, truth
}

// plain is one pluck of a string of fundamental hz behind half a second of quiet.
func plain(hz, rate, seconds float64) synth.Take {
	return synth.Take{
		String: synth.FromPitch(hz, 5e-5), Rate: rate, Seconds: seconds,
		Plucks: []synth.Pluck{{At: 0.5, Height: 1e-3, Point: 0.17, Width: 2e-3}},
		Pickup: synth.Pickup{At: 0.11}, Level: -6,
		Noise: []synth.Noise{{DB: 40}}, Seed: 1,
	}
}

// near fails unless got lies within tol of want.
func near(tb testing.TB, what string, got, want, tol float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= tol) {
		tb.Errorf("%s: %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

// twiddles are exp(-2πik/n) of bins 0 … n/2.
func twiddles(n int) []complex128 {
	tw := make([]complex128, n/2+1)
	for k := range tw {
		s, c := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		tw[k] = complex(c, s)
	}
	return tw
}
