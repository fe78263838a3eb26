package detect

import (
	"math"
	"testing"

	"pluckweigh/audio/synth"
)

func TestClips(t *testing.T) {
	const n, rate = 4800, 48000.0
	tone := func(hz, amp float64) []float64 { return damped(n, rate, hz, 0, amp, 0.3) }
	limit := func(x []float64, lo, hi float64) []float64 {
		for i, v := range x {
			x[i] = min(max(v, lo), hi)
		}
		return x
	}
	round := func(x []float64, bits int) []float64 {
		steps := math.Ldexp(1, bits-1)
		for i, v := range x {
			x[i] = math.Round(v*steps) / steps
		}
		return x
	}
	tests := []struct {
		name    string
		x       []float64
		clipped bool
	}{
		{"nothing", nil, false},
		{"silence", make([]float64, n), false},
		{"a constant", repeat(0.5, n), false},
		{"a tone", tone(440, 0.9), false},
		{"both sides", limit(tone(440, 1.5), -1, 1), true},
		{"above only", limit(tone(440, 1.5), -2, 1), true},
		{"below only", limit(tone(440, 1.5), -1, 2), true},
		{"unlike limits", limit(tone(440, 1.5), -0.9, 0.7), true},
		{"far below full scale", limit(tone(440, 0.15), -0.1, 0.1), true},
		{"16 bits, full scale", round(tone(440, 0.9999), 16), false},
		{"16 bits, slow and full", round(damped(10*n, rate, 10, 0, 0.9999, 0), 16), false}, // crests of some eight equal samples
		{"a low limit, then gain, in 16 bits", round(scaled(limit(tone(440, 1.5), -1, 1), 0.3), 16), true},
		{"8 bits, clipped", round(limit(tone(440, 1.5), -1, 0.99), 8), true},
		{"16 bits, -80 dB", round(tone(440, 1e-4), 16), false},
		{"16 bits, -80 dB and low", round(damped(10*n, rate, 30, 0, 1e-4, 0), 16), false},
		{"8 bits, quiet", round(tone(110, 0.1), 8), false},
		{"8 bits, full", round(tone(110, 0.99), 8), false},
		{"a limit and noise behind it", plus(limit(tone(440, 1.5), -1, 1), whiteNoise(n, 5e-4, 1)), true},
		{"a limit and a slow high-pass behind it", tilted(limit(tone(440, 1.5), -1, 1), 1/rate), true},
		{"clipped, resampled and clipped again", limit(scaled(halfway(limit(tone(5000, 1.5), -1, 1)), 1.05), -1, 1), true},
		{"a tone and noise", plus(tone(440, 0.9), whiteNoise(n, 1e-3, 1)), false},
		{"noise", whiteNoise(n, 0.1, 1), false},
		{"noise in 16 bits", round(whiteNoise(n, 1e-3, 1), 16), false},
		{"one flat top", append(limit(tone(440, 1.2)[:80], -2, 1), tone(440, 0.5)...), false},
	}
	for _, tt := range tests {
		first, last, count := clips(tt.x)
		if got := count > 0; got != tt.clipped {
			t.Errorf("%s: clipped %v (%d samples, %d to %d), want %v", tt.name, got, count, first, last, tt.clipped)
		}
		if count == 0 && last >= first {
			t.Errorf("%s: no clipping from %d to %d", tt.name, first, last)
		}
	}
}

func scaled(x []float64, by float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = by * v
	}
	return y
}

// tilted is x behind a one-pole high-pass at f cycles a sample.
func tilted(x []float64, f float64) []float64 {
	y, mean := make([]float64, len(x)), 0.0
	for i, v := range x {
		y[i] = v - mean
		mean += 2 * math.Pi * f * y[i]
	}
	return y
}

// halfway puts a band-limited value between every two of x.
func halfway(x []float64) []float64 {
	y := make([]float64, 2*len(x))
	for i := range y {
		for k := max(0, i/2-15); k < min(len(x), i/2+16); k++ {
			y[i] += x[k] * sinc(float64(i)/2-float64(k))
		}
	}
	return y
}

// TestClipsWhere: the first and last clipped samples, and how many, as counted
// one by one.
func TestClipsWhere(t *testing.T) {
	tk := plain(110, 48000, 1.5)
	tk.Noise, tk.Level = nil, 0
	x, _ := rendered(t, tk)
	// Cut at half: only the loud beginning reaches it.
	wantFirst, wantLast, want := len(x), -1, 0
	run := 0
	for i, v := range x {
		x[i] = min(max(v, -0.5), 0.5)
		if math.Abs(v) < 0.5 {
			run = 0
			continue
		}
		if run++; run == 3 {
			wantFirst = min(wantFirst, i-2)
			want += 2
		}
		if run >= 3 {
			want++
			wantLast = i
		}
	}
	first, last, count := clips(x)
	if first != wantFirst || last != wantLast || count != want {
		t.Errorf("%d samples, %d to %d, want %d, %d to %d", count, first, last, want, wantFirst, wantLast)
	}
}

// TestCleanTakesAreNotClipped: synthetic plucks as files of 8 to 24 bits hold them,
// loud and quiet down to a few steps, are not called clipped.
func TestCleanTakesAreNotClipped(t *testing.T) {
	for _, hz := range []float64{31, 110, 440} {
		for _, bits := range []int{8, 12, 16, 24} {
			for _, level := range []float64{-1, -20, -40, -60, -80} {
				tk := plain(hz, 48000, 1.5)
				tk.Noise = []synth.Noise{{DB: -96, Reference: synth.FullScale}}
				tk.Bits, tk.Level = bits, level
				x, _ := rendered(t, tk)
				if first, last, n := clips(x); n > 0 {
					t.Errorf("%g Hz at %g dB in %d bits: %d samples clipped, %d to %d", hz, level, bits, n, first, last)
				}
			}
		}
	}
}

// TestClippedTakes: plucks cut by a third, at full scale or before a gain, with a
// converter's noise behind it.
func TestClippedTakes(t *testing.T) {
	for _, hz := range []float64{31, 110, 440} {
		for _, bits := range []int{16, 24} {
			for _, gain := range []float64{1, 0.3} {
				for _, noise := range []float64{0, 1e-4, 5e-4} {
					tk := plain(hz, 48000, 1.5)
					tk.Level, tk.Noise = 3.5, nil
					x, _ := rendered(t, tk)
					hiss := whiteNoise(len(x), noise, 1)
					steps := math.Ldexp(1, bits-1)
					for i, v := range x {
						v = gain * (min(max(v, -1), 1) + hiss[i])
						x[i] = min(max(math.Round(v*steps), -steps), steps-1) / steps
					}
					first, last, n := clips(x)
					if n < 10 || first < 24000 || last > 48000 {
						t.Errorf("%g Hz, %d bits, gain %g, noise %g: %d samples clipped, %d to %d", hz, bits, gain, noise, n, first, last)
					}
				}
			}
		}
	}
}
