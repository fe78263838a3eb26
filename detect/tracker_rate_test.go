package detect

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats"
)

// rms is the root mean square of x.
func rms(x []float64) float64 { return floats.Norm(x, 2) / math.Sqrt(float64(len(x))) }

// TestThinner: block by block comes out what filtering and picking from the whole
// gives, late by half the filter.
func TestThinner(t *testing.T) {
	for _, c := range []struct{ d, block int }{{2, 40}, {3, 120}, {5, 220}, {8, 8}, {32, 1920}} {
		n := 20 * c.block
		x := whiteNoise(n, 1, uint64(c.d))
		th := newThinner(c.d, c.block, 0.35, 0.5)
		h := lowpass(c.d, 60, 0.35, 0.5)
		var y []float64
		for i := 0; i < n; i += c.block {
			y = append(y, th.thin(x[i:i+c.block])...)
		}
		if len(y) != n/c.d {
			t.Fatalf("factor %d: %d samples of %d", c.d, len(y), n)
		}
		for i, got := range y {
			want := 0.0
			for k, v := range h {
				if j := i*c.d - (len(h) - 1) + k; j >= 0 {
					want += v * x[j]
				}
			}
			if math.Abs(got-want) > 1e-13 {
				t.Fatalf("factor %d, sample %d: %g, want %g", c.d, i, got, want)
			}
		}
	}
	th := newThinner(4, 80, 0.35, 0.5)
	th.prime(0.7)
	for _, v := range th.thin(repeat(0.7, 80)) {
		near(t, "a constant", v, 0.7, 1e-12)
	}
}

// TestChain: what the tracker looks for pitch in is the sound up to 2.8 kHz, and
// nothing of what lies above, at every rate.
func TestChain(t *testing.T) {
	for _, rate := range []float64{8000, 11025, 16000, 22050, 44100, 48000, 88200, 96000, 192000, 384000, 768000} {
		level := func(hz float64) float64 {
			tr := NewTracker(rate)
			tr.Push(damped(int(0.3*rate), rate, hz, 0, math.Sqrt2, 0))
			return 20 * math.Log10(rms(tr.ear.tapes[0].last(0.1)))
		}
		for _, hz := range []float64{100, 440, 2700} {
			if db := level(hz); math.Abs(db) > 0.6 { // 60 Hz takes 0.07 dB of 100
				t.Errorf("%g Hz at %g Hz: %+.2f dB", hz, rate, db)
			}
		}
		low := NewTracker(rate).ear.tapes[0].rate
		for hz := 0.55 * low; hz < 0.5*rate; hz *= 1.13 {
			if db := level(hz); db > -55 {
				t.Errorf("%.0f Hz at %g Hz: folds at %.0f dB", hz, rate, db)
			}
		}
	}
}

func TestHighpass(t *testing.T) {
	const rate = 8000.0
	for _, c := range []struct{ hz, db, tol float64 }{{60, -3.01, 0.01}, {30, -24.1, 0.1}, {15, -48.2, 0.2}, {240, -0.0001, 0.001}} {
		h := newHighpass(60, rate)
		x := damped(int(4*rate), rate, c.hz, 0, math.Sqrt2, 0)
		h.run(x)
		near(t, "high-pass, dB", 20*math.Log10(rms(x[int(2*rate):])), c.db, c.tol)
	}
	h := newHighpass(60, rate)
	h.prime(-0.4)
	x := repeat(-0.4, 100)
	h.run(x)
	for i, v := range x {
		if math.Abs(v) > 1e-12 {
			t.Fatalf("a constant gives %g at %d", v, i)
		}
	}
	x = damped(int(rate), rate, 100, 0, 1, 0)
	h.run(x)
	for range 20 {
		clear(x)
		h.run(x)
	}
	if x[0] != 0 || h[0].z != [2]float64{} || h[1].z != [2]float64{} {
		t.Errorf("silence leaves %g, %v, %v", x[0], h[0].z, h[1].z)
	}
}

func TestTape(t *testing.T) {
	tp := newTape(100, 0.5)
	if got := tp.last(1); len(got) != 0 {
		t.Errorf("%v on an empty tape", got)
	}
	for i := range 1000 {
		tp.push([]float64{float64(2 * i), float64(2*i + 1)})
		got := tp.last(0.3)
		if len(got) != min(30, 2*i+2) || got[len(got)-1] != float64(2*i+1) || got[0] != float64(2*i+2-len(got)) {
			t.Fatalf("after %d samples: %v", 2*i+2, got)
		}
	}
	if got := tp.last(9); len(got) != 50 || tp.seen != 2000 {
		t.Errorf("%d samples are kept of %d, want 50 of 2000", len(got), tp.seen)
	}
}
