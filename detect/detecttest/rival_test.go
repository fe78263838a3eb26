package detecttest

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"
)

// toneWav writes a second and a half of a pure tone.
func toneWav(t *testing.T, rate, hz float64) Wav {
	t.Helper()
	w := Wav{Path: filepath.Join(t.TempDir(), fmt.Sprintf("%g.wav", hz)), Rate: rate, Samples: make([]float64, int(1.5*rate))}
	for i := range w.Samples {
		w.Samples[i] = 0.5 * math.Sin(2*math.Pi*hz*float64(i)/rate)
	}
	if err := w.Write(); err != nil {
		t.Fatal(err)
	}
	return w
}

// TestRivals: each hears tones of two sample rates, in their order, and takes time
// for it.
func TestRivals(t *testing.T) {
	want := []float64{200, 150, 300, 250}
	wavs := []Wav{toneWav(t, 44100, 200), toneWav(t, 16000, 150), toneWav(t, 44100, 300), toneWav(t, 16000, 250)}
	for _, r := range Rivals() {
		start, err := r.Start(t.Context())
		Need(t, err)
		ts, cpu, err := r.Hear(t.Context(), wavs, 0)
		if err != nil {
			t.Fatalf("%s: %v", r.Name, err)
		}
		if len(ts) != len(want) || start <= 0 || cpu <= 0 {
			t.Fatalf("%s: %d tracks, start in %v, ran for %v", r.Name, len(ts), start, cpu)
		}
		for i, track := range ts {
			if hz, n := track.Median(0.1, 1.4); n < 10 || math.Abs(1200*math.Log2(hz/want[i])) > 20 {
				t.Errorf("%s: %.2f Hz from %d points, want %g", r.Name, hz, n, want[i])
			}
			if last := track[len(track)-1]; last.Time > 1.5 {
				t.Errorf("%s: hears to %g s", r.Name, last.Time)
			}
		}
		if _, cpu, err := r.Hear(t.Context(), wavs[:1], time.Hour); err != nil || cpu != 0 {
			t.Errorf("%s: less an hour a start leaves %v, %v", r.Name, cpu, err)
		}
		if _, _, err := r.Hear(t.Context(), []Wav{{"/nowhere/to/be.wav", 44100, wavs[0].Samples}}, 0); err == nil {
			t.Errorf("%s: hears a file that is not there", r.Name)
		}
	}
}
