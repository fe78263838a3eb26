package detect

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pluckweigh/audio/synth"
)

// heardIn is what the envelope of samples at the working rate tells.
func heardIn(x []float64, rate float64) (e *envelope, onsets []float64) {
	y, r := decimate(x, rate)
	e = newEnvelope(y, r)
	return e, e.onsets()
}

// matchOnsets fails unless the onsets are those wanted, none more than early
// before or late after.
func matchOnsets(tb testing.TB, what string, got, want []float64, early, late float64) {
	tb.Helper()
	if len(got) != len(want) {
		tb.Errorf("%s: onsets %.3f, want %.3f", what, got, want)
		return
	}
	for i := range got {
		if d := got[i] - want[i]; d < -early || d > late {
			tb.Errorf("%s: onset at %.3f s, want %.3f (%+.0f ms)", what, got[i], want[i], 1000*d)
		}
	}
}

func TestOnsetOfOnePluck(t *testing.T) {
	for _, hz := range []float64{20, 30.87, 55, 110, 196, 440, 1000} {
		for _, at := range []float64{0.2, 0.4273} {
			tk := plain(hz, 24000, 1.2)
			tk.Plucks[0].At = at
			x, _ := rendered(t, tk)
			_, got := heardIn(x, tk.Rate)
			// A frame of 43 to 46 ms that has taken in a little of the attack ends
			// within a hop or two of it; what is measured begins 15 ms later still.
			matchOnsets(t, fmt.Sprintf("%g Hz at %g s", hz, at), got, []float64{at}, 0.015, 0.015)
		}
	}
}

func TestOnsetsOfSeveralPlucks(t *testing.T) {
	for _, hz := range []float64{41.2, 110, 329.6, 880} {
		tk := plain(hz, 24000, 4)
		want := []float64{0.4, 1.3, 1.9, 3.2}
		tk.Plucks = nil
		for _, at := range want {
			tk.Plucks = append(tk.Plucks, synth.Pluck{At: at, Height: 1e-3, Point: 0.15, Width: 2e-3})
		}
		x, _ := rendered(t, tk)
		_, got := heardIn(x, tk.Rate)
		matchOnsets(t, fmt.Sprintf("%g Hz", hz), got, want, 0.02, 0.02)
	}
}

// TestOnsetUnderRates: the same take at every rate begins at the same time.
func TestOnsetUnderRates(t *testing.T) {
	for _, rate := range []float64{8000, 11025, 16000, 22050, 32000, 44100, 48000, 96000, 192000} {
		tk := plain(82.4, rate, 1)
		x, _ := rendered(t, tk)
		_, got := heardIn(x, rate)
		matchOnsets(t, fmt.Sprintf("%g Hz", rate), got, []float64{0.5}, 0.02, 0.02)
	}
}

// TestOnsetWithoutNoise: digital silence, then a pluck.
func TestOnsetWithoutNoise(t *testing.T) {
	for _, hz := range []float64{30.87, 110, 440} {
		tk := plain(hz, 24000, 1.5)
		tk.Noise = nil
		x, _ := rendered(t, tk)
		_, got := heardIn(x, tk.Rate)
		matchOnsets(t, fmt.Sprintf("%g Hz", hz), got, []float64{0.5}, 0.03, 0.02)
	}
}

// TestTakeThatBeginsRinging: the first pluck may have begun before the take.
func TestTakeThatBeginsRinging(t *testing.T) {
	for _, hz := range []float64{55, 196} {
		tk := plain(hz, 24000, 2)
		x, _ := rendered(t, tk)
		_, got := heardIn(x[int(0.55*tk.Rate):], tk.Rate)
		if len(got) != 1 || got[0] != 0 {
			t.Errorf("%g Hz: onsets %.3f, want one at 0", hz, got)
		}
	}
}

// TestNoAttack: where nothing begins, no onset is found but the take's very
// start, which stands for "something sounds, without an attack".
func TestNoAttack(t *testing.T) {
	const rate, n = 24000.0, 2 * 24000
	noise := func(seed uint64) []float64 { return whiteNoise(n, 1e-3, seed) }
	hum := noise(1)
	for k := 1.0; k <= 8; k++ {
		hum = plus(hum, damped(n, rate, 50*k, 0, 0.2/k, k))
	}
	tests := map[string][]float64{
		"nothing":      nil,
		"one sample":   {1},
		"silence":      make([]float64, n),
		"a constant":   repeat(0.4, n),
		"hum":          hum,
		"a tone":       plus(noise(2), damped(n, rate, 220, 0, 0.1, 0)),
		"a high tone":  plus(noise(3), damped(n, rate, 4000, 0, 0.1, 0)),
		"a clean tone": damped(n, rate, 220, 0, 0.1, 0),
	}
	for seed := uint64(10); seed < 16; seed++ {
		tests[fmt.Sprintf("noise %d", seed)] = noise(seed)
	}
	for name, x := range tests {
		if _, got := heardIn(x, rate); slices.ContainsFunc(got, func(at float64) bool { return at > 0 }) {
			t.Errorf("%s: onsets at %.3f", name, got)
		}
	}
}

// TestEndOfPluck: a pluck ends where a hand damps it or the next begins, and not
// before.
func TestEndOfPluck(t *testing.T) {
	for _, hz := range []float64{30.87, 82.4, 196, 659} {
		tk := plain(hz, 24000, 3.5)
		tk.String.Decay = synth.Decay{Base: 0.8, Rise: 0.2}
		tk.Damp = 2.2
		x, _ := rendered(t, tk)
		e, on := heardIn(x, tk.Rate)
		if len(on) != 1 {
			t.Errorf("%g Hz: onsets %.3f", hz, on)
			continue
		}
		end := e.end(on[0], 3.5)
		t.Logf("%g Hz: damped at 2.2 s, ends at %.3f", hz, end)
		if end > tk.Damp+0.01 || end < tk.Damp-0.1 {
			t.Errorf("%g Hz: ends at %.3f s, damped at %.1f", hz, end, tk.Damp)
		}
		tk.Damp = 0
		x, _ = rendered(t, tk)
		e, on = heardIn(x, tk.Rate)
		for _, next := range []float64{3.5, 1.7} {
			if end := e.end(on[0], next); end != next {
				t.Errorf("%g Hz: still ringing, but ends at %.3f s, not %g", hz, end, next)
			}
		}
	}
}

func TestBandFloor(t *testing.T) {
	for _, c := range []struct {
		name string
		band []float64
		want float64
	}{
		{"nothing", nil, 0},
		{"quantile", []float64{-60, -10, -58, -20, -59, -57, -56, -55, -54, -53, -52, -51, -50, -40, -30, -25, -22, -21, -19, -18}, -58}, // a tenth lies under it
		{"digital silence before the pluck", []float64{-300, -300, -300, -20}, -90},
		{"silence", []float64{-300, -300, -300, -300}, -140},
	} {
		if got := bandFloor(c.band); got != c.want {
			t.Errorf("%s: %g dB, want %g", c.name, got, c.want)
		}
	}
}

// TestEnvelopeLevels: a band's level over its floor is that of what sounds there.
func TestEnvelopeLevels(t *testing.T) {
	const rate = 22050.0
	n := 3 * int(rate)
	x := whiteNoise(n, 1e-4, 6)
	for i := n / 2; i < n; i++ { // from the middle on a tone, 60 dB over the noise
		x[i] += 0.1414 * math.Cos(2*math.Pi*1000*float64(i)/rate)
	}
	e := newEnvelope(x, rate)
	f := e.frame(2.5)
	near(t, "frame's time", e.time(f), 2.5, e.hop)
	top, band := 0.0, 0
	for b := range e.bands {
		if e.bands[b][f] > top {
			top, band = e.bands[b][f], b
		}
	}
	// The tone's mean square is 0.01, the noise in its octave 640 to 1280 Hz is
	// 1e-8 times 640/11025; the floor lies some dB under that, at a low quantile.
	want := decibel(0.01) - decibel(1e-8*640/(rate/2))
	t.Logf("band %d stands %.1f dB over its floor, power ratio %.1f", band, top, want)
	near(t, "level of the tone's octave", top, want, 3)
	near(t, "loudest", e.loud[f], top, 1e-12)
}
