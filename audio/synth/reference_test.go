package synth

import (
	"math"
	"math/cmplx"
	"testing"
)

// bassE and guitarA are strings of plausible build (common practice, no source).
func bassE() String {
	s := FromPitch(41.2, 1.2e-4)
	s.AxialStiffness = 2.84e4
	return s
}

func guitarA() String {
	s := FromPitch(110, 6e-5)
	s.AxialStiffness = 2e4
	return s
}

// undamped returns s ringing for ever.
func undamped(s String) String {
	s.Decay = Decay{}
	return s
}

func take(s String) Take {
	return Take{
		String: s,
		Plucks: []Pluck{{At: 0.1, Height: 0.002, Point: 0.17}},
		Pickup: Pickup{At: 0.11},
		Rate:   48000, Seconds: 1, Seed: 1,
	}
}

func render(t testing.TB, k Take) ([]float64, Truth) {
	t.Helper()
	x, truth, err := k.Render()
	if err != nil {
		t.Fatal(err)
	}
	return x, truth
}

// difference renders two takes and returns what the second has more.
func difference(t testing.TB, without, with Take) []float64 {
	t.Helper()
	a, _ := render(t, without)
	b, _ := render(t, with)
	d := make([]float64, len(a))
	for i := range d {
		d[i] = b[i] - a[i]
	}
	return d
}

// slow is the obvious way from the truth about a pluck to its sample i.
func slow(p PluckTruth, rate float64, i int) float64 {
	t := float64(i)/rate - p.At
	if t < 0 {
		return 0
	}
	var x float64
	for _, q := range p.Partials {
		x += q.Amp * math.Exp(-q.Decay*t) * math.Cos(2*math.Pi*q.Freq*p.StringTime(t)+q.Phase)
	}
	return x
}

// blackmanHarris is the four-term window, side lobes −92 dB (Harris 1978, from memory).
func blackmanHarris(i, n int) float64 {
	a := 2 * math.Pi * float64(i) / float64(n)
	return 0.35875 - 0.48829*math.Cos(a) + 0.14128*math.Cos(2*a) - 0.01168*math.Cos(3*a)
}

// tone estimates frequency, amplitude and phase at the first sample of the
// undamped sinusoid near a frequency: by how its phase advances between two
// windows of half the signal, a quarter apart.
func tone(x []float64, rate, near float64) (freq, amp, phase float64) {
	n, hop := len(x)/2, len(x)/4
	window := func(from int, f float64) complex128 {
		var sum complex128
		var weight float64
		for i := range n {
			w := blackmanHarris(i, n)
			sum += complex(w*x[from+i], 0) * cmplx.Exp(complex(0, -2*math.Pi*f*float64(from+i)/rate))
			weight += w
		}
		return sum * complex(2/weight, 0)
	}
	freq = near
	for range 3 {
		turn := cmplx.Phase(window(hop, freq) / window(0, freq))
		freq += turn / (2 * math.Pi) * rate / float64(hop)
	}
	z := window(0, freq)
	return freq, cmplx.Abs(z), cmplx.Phase(z)
}

func cents(f, g float64) float64 { return 1200 * math.Log2(f/g) }

func rms(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}

func peak(x []float64) float64 {
	var most float64
	for _, v := range x {
		most = max(most, math.Abs(v))
	}
	return most
}
