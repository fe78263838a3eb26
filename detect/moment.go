package detect

import "math"

const (
	momentBack  = 0.035 // s before an onset as the envelope tells it, and
	momentAhead = 0.025 // after it, between which its moment lies
	momentEdge  = 0.003 // s at either end of which are needed to know what is there
	momentOrder = 16    // of the prediction
	momentPast  = 0.25  // s of sound that it is learnt from, and
	momentLeast = 0.05  // without which it is not
	momentRise  = 2.0   // times the power before, from which something begins
)

// moment narrows down when a pluck begins that the envelope has begin at start, s:
// where what cannot be foreseen from the sound before changes its power (the
// autoregressive Akaike picker of seismology: Sleeman & van Eck 1999).
func moment(x []float64, rate, start float64) float64 {
	lo, hi := int((start-momentBack)*rate), min(int((start+momentAhead)*rate), len(x))
	past := max(0, lo-int(momentPast*rate))
	edge := int(momentEdge * rate)
	if lo-past < int(momentLeast*rate) || hi-lo < 3*edge {
		return start
	}
	a := predictor(x[past:lo], momentOrder)
	n := hi - lo
	sums := make([]float64, n+1) // of the squares of what is not foreseen
	for i := range n {
		e := x[lo+i]
		for j, c := range a {
			e -= c * x[lo+i-1-j]
		}
		sums[i+1] = sums[i] + e*e
	}
	cost := func(k int) float64 {
		before, after := sums[k]/float64(k), (sums[n]-sums[k])/float64(n-k)
		return float64(k)*math.Log(before+1e-30) + float64(n-k)*math.Log(after+1e-30)
	}
	best, least := 0, math.Inf(1)
	for k := edge; k <= n-edge; k++ {
		if c := cost(k); c < least {
			best, least = k, c
		}
	}
	if !((sums[n]-sums[best])/float64(n-best) > momentRise*sums[best]/float64(best)) {
		return start
	}
	return float64(lo+best) / rate
}

// predictor is what foresees a sample best from the order samples before it, the last
// first (Levinson & Durbin).
func predictor(x []float64, order int) []float64 {
	r := make([]float64, order+1)
	for k := range r {
		for i := k; i < len(x); i++ {
			r[k] += x[i] * x[i-k]
		}
	}
	a := make([]float64, order)
	left := r[0] * (1 + 1e-9)
	was := make([]float64, order)
	for m := range order {
		if left <= 0 {
			break
		}
		k := r[m+1]
		for j := range m {
			k -= a[j] * r[m-j]
		}
		k /= left
		copy(was, a[:m])
		a[m] = k
		for j := range m {
			a[j] = was[j] - k*was[m-1-j]
		}
		left *= 1 - k*k
	}
	return a
}
