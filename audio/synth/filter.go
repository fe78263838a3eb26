package synth

import "math"

// A biquad is one section of a filter, b over a with a0 = 1.
type biquad struct{ b0, b1, b2, a1, a2 float64 }

// A filter is a cascade of sections; none passes everything.
type filter []biquad

// design returns the Butterworth high-pass by the bilinear transform with the
// corner prewarped: second-order sections for the conjugate pairs of poles, a
// first-order one for the real pole of an odd order.
func (h HighPass) design(rate float64) filter {
	var f filter
	w := math.Tan(math.Pi * h.Corner / rate)
	for k := 0; k < h.Order/2; k++ {
		damp := 2 * math.Sin(math.Pi*float64(2*k+1)/float64(2*h.Order)) // 1/Q
		norm := 1 / (1 + damp*w + w*w)
		f = append(f, biquad{norm, -2 * norm, norm, 2 * (w*w - 1) * norm, (1 - damp*w + w*w) * norm})
	}
	if h.Order%2 == 1 {
		norm := 1 / (1 + w)
		f = append(f, biquad{norm, -norm, 0, (w - 1) * norm, 0})
	}
	return f
}

// run filters x in place, from rest.
func (f filter) run(x []float64) {
	for _, q := range f {
		var s1, s2 float64 // transposed direct form II
		for i, v := range x {
			y := q.b0*v + s1
			s1 = q.b1*v - q.a1*y + s2
			s2 = q.b2*v - q.a2*y
			x[i] = y
		}
	}
}

// response returns the transfer function at z.
func (f filter) response(z complex128) complex128 {
	h := complex(1, 0)
	u := 1 / z
	for _, q := range f {
		num := complex(q.b0, 0) + u*(complex(q.b1, 0)+u*complex(q.b2, 0))
		den := 1 + u*(complex(q.a1, 0)+u*complex(q.a2, 0))
		h *= num / den
	}
	return h
}
