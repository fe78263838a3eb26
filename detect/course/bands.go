package course

import (
	"math"
	"math/cmplx"
)

// A band is the sound about a frequency, brought down to zero and sampled slowly.
type band struct {
	hz    float64      // its centre
	y     []complex128 // at moments
	noise float64      // mean square of what is left of y
}

// bands cuts a sound into bands.
type cutter struct {
	x      []float64
	rate   float64
	onset  float64   // s, of the pluck in x
	window []float64 // Blackman's, of sum 1
	hop    int       // samples
	from   int       // the first sample of the first window
	at     []float64 // moments after the onset, s: middles of windows
}

// besidePartials is how many periods a window is long: partials one period apart lie
// beyond its main lobe, half of which is three bins wide.
const besidePartials = 5

// newCutter cuts what follows the onset from lead to last, s, for strings of which the lowest
// has this fundamental.
func newCutter(x []float64, rate, onset, lead, last, lowest float64) *cutter {
	n := max(8, int(besidePartials/lowest*rate))
	c := &cutter{x: x, rate: rate, onset: onset, window: make([]float64, n), hop: n / 3, from: int((onset + lead) * rate)}
	sum := 0.0
	for i := range c.window {
		t := 2 * math.Pi * (float64(i) + 0.5) / float64(n)
		c.window[i] = 0.42 - 0.5*math.Cos(t) + 0.08*math.Cos(2*t)
		sum += c.window[i]
	}
	for i := range c.window {
		c.window[i] /= sum
	}
	end := min(len(x), int((onset+last)*rate))
	for k := c.from; k >= 0 && k+n <= end; k += c.hop {
		c.at = append(c.at, (float64(k)+float64(n)/2)/rate-onset)
	}
	return c
}

// cut is the band about a frequency.
func (c *cutter) cut(hz float64) *band {
	b := &band{hz: hz, y: make([]complex128, len(c.at))}
	step := -2 * math.Pi * hz / c.rate
	turn := cmplx.Rect(1, step)
	for k := range b.y {
		at := c.from + k*c.hop
		// The phase is that of the sample, counted from the onset, so that all windows agree.
		w := cmplx.Rect(1, step*(float64(at)-c.onset*c.rate))
		var sum complex128
		for i, v := range c.window {
			sum += complex(v*c.x[at+i], 0) * w
			w *= turn
		}
		b.y[k] = 2 * sum
	}
	return b
}

// reach is how far from a band's centre a line is heard in it, Hz.
func (c *cutter) reach() float64 { return 3 * c.rate / float64(len(c.window)) }

// dependent is by how much neighbouring samples of a band's noise tell the same, as a factor of
// variance: windows overlap. That of Blackman's window at a third of its length is 0.61,
// at two thirds 0.02 (its autocorrelation), so 1 + 2(0.61² + 0.02²).
const dependent = 1.75
