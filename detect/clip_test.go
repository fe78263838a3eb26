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

// TestCleanTakesAreNotClipped: synthetic plucks as 16 and 24-bit files hold them,
// loud and quiet, are not called clipped.
func TestCleanTakesAreNotClipped(t *testing.T) {
	for _, hz := range []float64{31, 110, 440} {
		for _, bits := range []int{16, 24} {
			for _, level := range []float64{-1, -20} {
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
