package detect

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// TestPeaks: tones anywhere between bins are found at their frequency and level.
// The parabola is good to 0.02 of the resolution (measure says so), and a level
// read at the nearest bin of a spectrum padded twice lies within a quarter of an
// unpadded bin of the top: 0.36 dB under it at most.
func TestPeaks(t *testing.T) {
	const rate = 22050.0
	for _, n := range []int{8192, 9000, 15435} { // padded by 2, 3.6 and 2.1
		worst, low, high := 0.0, 0.0, 0.0
		for i := range 12 {
			hz := 440 + float64(i)*0.2283*rate/float64(n)
			x := damped(n, rate, hz, 0, 0.1, float64(i))
			s := newSpectrum(plus(x, whiteNoise(n, 1e-6, uint64(i))), rate, 9000, nil)
			if len(s.peaks) != 1 {
				t.Fatalf("%d samples, %g Hz: peaks %v", n, hz, hzOf(s.peaks))
			}
			p := s.peaks[0]
			worst = max(worst, math.Abs(p.hz-hz)/s.resHz)
			low, high = min(low, p.db+20), max(high, p.db+20)
			if p.u < math.Abs(p.hz-hz)/2 {
				t.Errorf("%d samples, %g Hz: found at %g Hz, u %g", n, hz, p.hz, p.u)
			}
			near(t, "loudest", s.loudest, p.db, 1e-9)
		}
		t.Logf("%d samples: frequency within %.4f of the resolution, level %+.3f to %+.3f dB", n, worst, low, high)
		if worst > 0.02 {
			t.Errorf("%d samples: a peak is off by %.4f of the resolution, want 0.02", n, worst)
		}
		if low < -0.37 || high > 0.01 {
			t.Errorf("%d samples: levels from %+.3f to %+.3f dB, want -0.36 to 0", n, low, high)
		}
	}
}

// TestPeakUncertainty: in noise the places of peaks scatter by no more than
// stated, and by no less than a third of it: rough, but on the safe side.
func TestPeakUncertainty(t *testing.T) {
	const rate, n = 22050.0, 4000
	for _, sigma := range []float64{0.06, 0.3} { // a tone of amplitude 0.1 stands 33 and 19 dB out
		var z []float64
		for i := range 100 {
			hz := 1000 + float64(i)*1.13
			s := newSpectrum(plus(damped(n, rate, hz, 0, 0.1, float64(i)), whiteNoise(n, sigma, uint64(i+1))), rate, 3000, nil)
			for _, p := range s.peaks {
				if math.Abs(p.hz-hz) < 2*s.resHz {
					z = append(z, (p.hz-hz)/p.u)
				}
			}
		}
		if len(z) < 90 {
			t.Fatalf("noise %g: only %d of 100 found", sigma, len(z))
		}
		sd := math.Sqrt(stat.Mean(squares(z), nil))
		t.Logf("noise %g: %d found, error over u has rms %.2f", sigma, len(z), sd)
		if sd < 1./3 || sd > 1.1 {
			t.Errorf("noise %g: error over u has rms %.2f, want 1/3 to 1", sigma, sd)
		}
	}
}

func squares(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = v * v
	}
	return y
}

// TestFloor: the floor of white noise is its expected power, σ²Σw²·16/n² = 6σ²/n.
func TestFloor(t *testing.T) {
	const rate, n, sigma = 22050.0, 15435, 0.01
	var at []float64
	peaks, bins := 0, 0
	for seed := range uint64(12) {
		s := newSpectrum(whiteNoise(n, sigma, seed), rate, 9000, nil)
		at = append(at, stat.Mean(s.floor, nil)/(6*sigma*sigma/n))
		peaks += len(s.peaks)
		bins += len(s.power)
	}
	mean := stat.Mean(at, nil)
	t.Logf("floor over expected power %.3f, spread between spectra %.3f; %d peaks in %d bins", mean, stat.StdDev(at, nil), peaks, bins)
	near(t, "floor over expected power", mean, 1, 0.04)
	// 11 dB is passed by chance once in 3e5 bins by a known floor; one estimated
	// from a hundred-odd independent bins is now and then 20 % low, which makes it
	// ten times as often.
	if peaks > 10*bins/300000+3 {
		t.Errorf("%d peaks in %d bins of noise", peaks, bins)
	}
}

// TestFloorUnderPartials: where lines fill a share q of the bins, the quantile p
// of all is the quantile p/(1-q) of the noise, so that the floor stands too high by
// ln(1-p/(1-q))/ln(1-p): 1 dB on a guitar, some 3 on a bass, and no more than that.
func TestFloorUnderPartials(t *testing.T) {
	const rate, n, sigma, p = 22050.0, 15435, 0.01, 0.35
	for _, f0 := range []float64{31, 41, 110, 440} {
		lines := make([]float64, n)
		for k := 1; float64(k)*f0 < 9000; k++ {
			lines = plus(lines, damped(n, rate, float64(k)*f0, 1.5, 0.1, float64(k)))
		}
		clean := newSpectrum(lines, rate, 9000, nil)
		s := newSpectrum(plus(lines, whiteNoise(n, sigma, 4)), rate, 9000, nil)
		var high []float64
		filled := 0.0
		for i, v := range s.floor {
			if hz := float64(i) * s.binHz; hz > 200 && hz < 8800 {
				high = append(high, decibel(v)-decibel(6*sigma*sigma/n))
				if clean.power[i] > 6*sigma*sigma/n {
					filled++
				}
			}
		}
		q := filled / float64(len(high))
		want := decibel(math.Log(1-p/(1-q)) / math.Log(1-p))
		got := stat.Mean(high, nil)
		t.Logf("%g Hz apart: %.0f %% of the bins filled, floor %+.1f dB, expected %+.1f", f0, 100*q, got, want)
		if math.Abs(got-want) > 1 {
			t.Errorf("partials %g Hz apart move the floor by %+.1f dB, expected %+.1f", f0, got, want)
		}
	}
}

// TestHannSkirt holds the bound against the transform of Hann-windowed lines,
// steady and decaying, summed sample by sample at every eighth of a bin.
func TestHannSkirt(t *testing.T) {
	const n = 512
	win := hann(n)
	at := func(decay, d float64) float64 { // power d bins off the line, over that on it
		var z, top complex128
		for i, w := range win {
			v := w * math.Exp(-decay*float64(i)/n)
			z += complex(v, 0) * cmplx.Rect(1, -2*math.Pi*d*float64(i)/n)
			top += complex(v, 0)
		}
		return sq(z) / sq(top)
	}
	// decay is αT: a partial of 4/s over 0.7 s has 2.8.
	for _, c := range []struct{ decay, leastMargin float64 }{{0, 8}, {1, 8}, {3, 0}} {
		margin := math.Inf(1)
		for d := 1.8; d < 100; d += 0.125 {
			margin = min(margin, decibel(hannSkirt(d))-decibel(at(c.decay, d)))
		}
		t.Logf("decay %g: margin %.1f dB", c.decay, margin)
		if margin < c.leastMargin {
			t.Errorf("decay %g: the skirt lies %.1f dB over the lobes, want %g", c.decay, margin, c.leastMargin)
		}
	}
	for _, d := range []float64{0, 1, 1.79} {
		if hannSkirt(d) != 1 {
			t.Errorf("%g bins away, within the main lobe, the skirt is %g", d, hannSkirt(d))
		}
	}
}

// TestMasking: side lobes of a strong tone are no peaks, a weak tone above them is.
func TestMasking(t *testing.T) {
	const rate, n = 22050.0, 11000
	loud := damped(n, rate, 500.3, 2, 0.5, 0)
	for _, c := range []struct {
		name     string
		hz, amp  float64
		expected int
	}{
		{"alone", 0, 0, 1},
		{"a tone in the clear", 900, 1e-4, 2},
		{"a near tone over the skirt", 520, 0.05, 2},
		{"a tone at a billionth of the power and less", 900, 1e-5, 1},
	} {
		s := newSpectrum(plus(loud, damped(n, rate, c.hz, 2, c.amp, 1)), rate, 9000, nil)
		if len(s.peaks) != c.expected {
			t.Errorf("%s: %d peaks, want %d: %v", c.name, len(s.peaks), c.expected, hzOf(s.peaks))
		}
	}
}

func hzOf(ps []peak) (out []string) {
	for _, p := range ps {
		out = append(out, fmt.Sprintf("%.2f Hz %.0f dB", p.hz, p.db))
	}
	return out
}

func TestLoud(t *testing.T) {
	s := &spectrum{loudest: -10, peaks: []peak{{hz: 1, db: -10}, {hz: 2, db: -33.9}, {hz: 3, db: -34.1}}}
	if got := s.loud(24); len(got) != 2 || got[1].hz != 2 {
		t.Errorf("%v within 24 dB of the loudest", got)
	}
}

// TestSmallest holds the selection against sorting, equal values among them.
func TestSmallest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		v := make([]float64, 1+r.IntN(60))
		for i := range v {
			v[i] = float64(r.IntN(20))
		}
		want := slices.Clone(v)
		slices.Sort(want)
		k := r.IntN(len(v))
		if got := smallest(slices.Clone(v), k); got != want[k] {
			t.Fatalf("smallest(%v, %d) = %v, want %v", v, k, got, want[k])
		}
	}
}
