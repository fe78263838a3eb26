package synth

import "math"

// A warp is the time a string lives in: a partial of frequency f at rest has
// the phase 2π f W(t), t seconds after the onset. Its rate is a sum of
// exponentials, W′(t) = Σ w·exp(r t), which integrates in closed form: one for
// the string's pitch with its ramp, one for the glide that dies away.
type warp [2]struct{ w, r float64 }

// newWarp returns the warp of a pluck at seconds into the take, of relative
// glide g dying at rate 2alpha, on a string being tuned by ramp cents per second.
func newWarp(at, g, alpha, ramp float64) warp {
	c := ramp * math.Ln2 / 1200
	now := math.Exp(c * at)
	return warp{{now, c}, {now * g, c - 2*alpha}}
}

// at returns W(t).
func (w warp) at(t float64) float64 {
	var sum float64
	for _, e := range w {
		if e.w == 0 {
			continue
		}
		if e.r == 0 {
			sum += e.w * t
		} else {
			sum += e.w * math.Expm1(e.r*t) / e.r
		}
	}
	return sum
}

// rate returns W′(t).
func (w warp) rate(t float64) float64 {
	return w[0].w*math.Exp(w[0].r*t) + w[1].w*math.Exp(w[1].r*t)
}

// bend returns a bound on |W″| at t.
func (w warp) bend(t float64) float64 {
	return math.Abs(w[0].w*w[0].r)*math.Exp(w[0].r*t) + math.Abs(w[1].w*w[1].r)*math.Exp(w[1].r*t)
}

// fastest returns the largest W′ from the onset to t.
func (w warp) fastest(t float64) float64 {
	// W′ is a sum of two exponentials of weights ≥ 0 unless a glide is negative;
	// the bound by parts is safe in every case.
	var sum float64
	for _, e := range w {
		sum += max(e.w, e.w*math.Exp(e.r*t))
	}
	return sum
}

// straight says that W is linear.
func (w warp) straight() bool { return w[0].r == 0 && w[1].w*w[1].r == 0 }
