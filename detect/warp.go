package detect

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// A glide is the fall of the pitch as a pluck dies away:
// f(t) = f_rest (1 + g e^(-2αt) + st), α the amplitude decay rate, since the
// stretch of the string goes with the square of its amplitude. The slope s is
// none of the string's: a peg is being turned, or the string bent.
type glide struct {
	g     float64 // relative, at t = 0
	alpha float64 // 1/s
	slope float64 // relative, 1/s
	lead  lead    // by which what records lets low partials run ahead
}

// ahead is the extra time ∫ g e^(-2αt) + st dt, in seconds: by how much the phase
// of a gliding partial runs ahead of one at rest.
func (gl glide) ahead(t float64) float64 {
	a := gl.slope * t * t / 2
	if gl.g != 0 {
		a += gl.g * -math.Expm1(-2*gl.alpha*t) / (2 * gl.alpha)
	}
	return a
}

const (
	warpHalf   = 16  // taps on each side
	warpPhases = 256 // table rows per sample, linear between them
)

// warpTable holds a Kaiser-windowed sinc at warpPhases+1 fractional shifts.
var warpTable = makeWarpTable()

func makeWarpTable() [warpPhases + 1][2 * warpHalf]float64 {
	var t [warpPhases + 1][2 * warpHalf]float64
	const beta = 9
	for p := range t {
		frac := float64(p) / warpPhases
		for i := range t[p] {
			d := float64(i-warpHalf+1) - frac
			r := d / warpHalf
			if r > -1 && r < 1 {
				t[p][i] = sinc(d) * bessel0(beta*math.Sqrt(1-r*r)) / bessel0(beta)
			}
		}
	}
	return t
}

// unglide resamples x so that a glide becomes steady: partials that follow gl
// from sample from on come out at their frequency at rest. dst receives
// len(dst) samples from there.
func unglide(dst, x []float64, from int, rate float64, gl glide) {
	if gl.g == 0 && gl.slope == 0 {
		copy(dst, x[from:])
		return
	}
	// The shift is smooth: it is computed every so often and drawn straight
	// between. t + ahead(t) = τ, its slope g ≪ 1, so that three fixed-point steps
	// leave g⁴ of it.
	const every = 32
	shift := func(i int) float64 {
		tau := float64(i) / rate
		t := tau
		for range 3 {
			t = tau - gl.ahead(t)
		}
		return (t - tau) * rate
	}
	a := shift(0)
	for lo := 0; lo < len(dst); lo += every {
		b := shift(lo + every)
		for i := lo; i < min(lo+every, len(dst)); i++ {
			dst[i] = interpolate(x, float64(from+i)+a+(b-a)*float64(i-lo)/every)
		}
		a = b
	}
}

// interpolate reads x at a fractional index; beyond its ends lies silence.
func interpolate(x []float64, at float64) float64 {
	base := math.Floor(at)
	ph := (at - base) * warpPhases
	row := int(ph)
	w := ph - float64(row)
	lo, hi := &warpTable[row], &warpTable[min(row+1, warpPhases)]
	i0 := int(base) - warpHalf + 1
	if i0 >= 0 && i0+2*warpHalf <= len(x) {
		near := x[i0 : i0+2*warpHalf]
		return (1-w)*floats.Dot(near, lo[:]) + w*floats.Dot(near, hi[:])
	}
	sum := 0.0
	for j := range lo {
		if k := i0 + j; k >= 0 && k < len(x) {
			sum += x[k] * (lo[j] + w*(hi[j]-lo[j]))
		}
	}
	return sum
}
