package detect

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// TestBackgroundDensity: white noise of variance σ² has the one-sided density
// 2σ²/rate, which go-dsp's Welch average must state in these units.
func TestBackgroundDensity(t *testing.T) {
	const sigma = 0.02
	for _, rate := range []float64{8000, 22050, 32000, 44000} {
		b := newBackground(whiteNoise(int(4*rate), sigma, 7), rate)
		want := 2 * sigma * sigma / rate
		near(t, fmt.Sprintf("density at %g Hz over 2σ²/rate", rate), stat.Mean(b.density[2:len(b.density)-2], nil)/want, 1, 0.03)
		near(t, "last bin", float64(len(b.density)-1)*b.stepHz, rate/2, 1e-9)
	}
}

// TestBackgroundMeetsSpectrum: the same noise before and during a pluck gives the
// same floor: raise takes the density to the scale of a Hann spectrum, times the
// stated margin and what the larger of two bins is above their mean.
func TestBackgroundMeetsSpectrum(t *testing.T) {
	const rate, n, sigma = 24000.0, 16800, 0.01
	s := newSpectrum(whiteNoise(n, sigma, 8), rate, 9000, nil)
	floor := make([]float64, len(s.power))
	newBackground(whiteNoise(10*int(rate), sigma, 9), rate).raise(floor, s.binHz, s.resHz)
	ratio := stat.Mean(floor, nil) / quietMargin / stat.Mean(s.floor, nil)
	power := stat.Mean(floor, nil) / quietMargin / stat.Mean(s.power, nil)
	t.Logf("background over floor %.3f, over power %.3f", ratio, power)
	// About a hundred blocks overlapped by half: some 10 % a bin, and the larger
	// of two lies 0.56 of that above the mean.
	near(t, "background over power", power, 1.05, 0.05)
	near(t, "background over floor", ratio, 1.05, 0.09)
}

func TestBackgroundRaisesOnly(t *testing.T) {
	b := &background{density: []float64{1, 1, 1, 1, 1}, stepHz: 10}
	floor := []float64{1e9, 0, 0, 0, 0, 0, 0, 0}
	b.raise(floor, 5, 2)
	if floor[0] != 1e9 {
		t.Errorf("a floor was lowered to %g", floor[0])
	}
	for i, v := range floor[1:] { // 5, 10 … 35 Hz; the density ends at 40
		near(t, fmt.Sprintf("floor %d", i+1), v, quietMargin*3*2, 1e-12)
	}
	floor = make([]float64, 20)
	b.raise(floor, 5, 2)
	if floor[8] != 0 || floor[19] != 0 {
		t.Errorf("beyond the density: %v", floor[8:])
	}
	var none *background
	none.raise(floor, 5, 2) // nothing known, nothing raised
}

// TestBackgroundLevel: hum in the background reads as a sinusoid of its amplitude
// would.
func TestBackgroundLevel(t *testing.T) {
	const rate = 22050.0
	for _, amp := range []float64{0.1, 1e-3} {
		b := newBackground(plus(damped(2*int(rate), rate, 100, 0, amp, 1), whiteNoise(2*int(rate), 1e-6, 2)), rate)
		near(t, "level of hum, dB", b.level(80, 120), 20*math.Log10(amp), 0.3)
		if l := b.level(300, 400); l > 20*math.Log10(amp)-60 {
			t.Errorf("hum of amplitude %g reads %.1f dB far from it", amp, l)
		}
	}
	var none *background
	if l := none.level(80, 120); l != -300 {
		t.Errorf("nothing known reads %g dB", l)
	}
}

func TestBackgroundNeedsQuiet(t *testing.T) {
	for _, rate := range []float64{8000, 22050, 32000, 44099} {
		if b := newBackground(make([]float64, int(leastQuiet*rate)-1), rate); b != nil {
			t.Errorf("%g Hz: too short a quiet is taken for a background", rate)
		}
		if b := newBackground(make([]float64, int(leastQuiet*rate)+1), rate); b == nil {
			t.Errorf("%g Hz: enough quiet is refused", rate)
		}
	}
}
