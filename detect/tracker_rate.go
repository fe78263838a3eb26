package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// nearZero is where filters are set to 0: silence must not decay into denormal numbers,
// which are slow.
const nearZero = 1e-30

// A thinner lowers a sample rate by a whole factor, block by block, behind a
// low-pass of 60 dB. What it gives out is late by half the low-pass.
type thinner struct {
	d    int
	taps []float64
	past []float64 // len(taps)-1 samples, then the block
	out  []float64
}

// newThinner serves blocks of n samples, a multiple of d; pass and stop are as in
// lowpass.
func newThinner(d, n int, pass, stop float64) *thinner {
	taps := lowpass(d, 60, pass, stop)
	return &thinner{d: d, taps: taps, past: make([]float64, len(taps)-1+n), out: make([]float64, n/d)}
}

// prime takes v for all that was before, as if nothing had begun.
func (t *thinner) prime(v float64) {
	for i := range t.past {
		t.past[i] = v
	}
}

// thin returns one sample for every d of x, good until the next call.
func (t *thinner) thin(x []float64) []float64 {
	copy(t.past[len(t.taps)-1:], x)
	for i := range t.out {
		t.out[i] = floats.Dot(t.taps, t.past[i*t.d:i*t.d+len(t.taps)])
	}
	copy(t.past, t.past[len(x):])
	return t.out
}

// A highpass is a Butterworth filter of fourth order: two sections by the
// bilinear transform, in transposed direct form II.
type highpass [2]struct {
	b, a [3]float64
	z    [2]float64
}

func newHighpass(hz, rate float64) highpass {
	var h highpass
	w := math.Tan(math.Pi * hz / rate)
	for i := range h {
		damping := 2 * math.Cos(math.Pi/8*float64(2*i+1))
		a := 1 + damping*w + w*w
		h[i].b = [3]float64{1 / a, -2 / a, 1 / a}
		h[i].a = [3]float64{1, 2 * (w*w - 1) / a, (1 - damping*w + w*w) / a}
	}
	return h
}

// prime takes v for all that was before.
func (h *highpass) prime(v float64) {
	h[0].z = [2]float64{-h[0].b[0] * v, h[0].b[2] * v}
}

// run filters x in place.
func (h *highpass) run(x []float64) {
	for i := range h {
		s := &h[i]
		for k, v := range x {
			y := s.b[0]*v + s.z[0]
			s.z[0] = s.b[1]*v - s.a[1]*y + s.z[1]
			s.z[1] = s.b[2]*v - s.a[2]*y
			x[k] = y
		}
		for k, z := range s.z {
			if math.Abs(z) < nearZero {
				s.z[k] = 0
			}
		}
	}
}

// A tape holds the last samples at some rate, oldest first.
type tape struct {
	rate float64
	x    []float64
	size int   // samples that are kept at least
	seen int64 // samples so far
}

func newTape(rate, seconds float64) *tape {
	n := int(seconds * rate)
	return &tape{rate: rate, size: n, x: make([]float64, 0, 4*n)}
}

// push adds a block no longer than the tape.
func (t *tape) push(x []float64) {
	if len(t.x)+len(x) > cap(t.x) {
		t.x = t.x[:copy(t.x, t.x[len(t.x)-t.size:])]
	}
	t.x = append(t.x, x...)
	t.seen += int64(len(x))
}

// last returns the samples of the last seconds, or what there is of them.
func (t *tape) last(seconds float64) []float64 {
	return t.x[len(t.x)-min(len(t.x), t.size, int(seconds*t.rate)):]
}
