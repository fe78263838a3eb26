package detect_test

import (
	"math"
	"path/filepath"
	"testing"

	"pluckweigh/audio"
	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// TestAgreesWithGeneralLibraries holds readings against aubio (yinfft) and Praat
// (autocorrelation), both from Debian, on takes whose truth is known. They follow
// the period, which on a stiff string is sharp of the first partial, so that
// their own error on these takes bounds how far apart we may be.
func TestAgreesWithGeneralLibraries(t *testing.T) {
	type rival struct {
		name string
		hear func(wav string) (detecttest.Track, error)
		max  float64 // cents, what it is off by on such takes
	}
	rivals := []rival{
		{"aubio yinfft", func(wav string) (detecttest.Track, error) {
			return detecttest.Aubio(t.Context(), "yinfft", 4096, wav)
		}, 25},
		{"Praat", func(wav string) (detecttest.Track, error) { return detecttest.Praat(t.Context(), wav, 20, 1500) }, 12},
	}
	for _, f0 := range []float64{55, 82.41, 110, 196, 329.63} {
		tk := synth.Take{
			String: synth.FromPitch(f0, 5e-5), Rate: rate, Seconds: 2.5,
			Plucks: []synth.Pluck{{At: 0.2, Height: 1e-3, Point: 0.2, Width: 4e-3}},
			Pickup: synth.Pickup{At: 0.15}, Level: -6, Noise: []synth.Noise{{DB: 40}}, Seed: 9,
		}
		x, truth, err := tk.Render()
		if err != nil {
			t.Fatal(err)
		}
		take := analyze(t, x, detect.Options{})
		if take.Reading == nil {
			t.Fatalf("%.2f Hz: refused, %v", f0, codes(take))
		}
		ours := 1200 * math.Log2(take.Reading.F1.V/truth.F1)
		if math.Abs(ours) > 0.02 {
			t.Errorf("%.2f Hz: off by %.4f cents", f0, ours)
		}
		wav := filepath.Join(t.TempDir(), "take.wav")
		w, err := audio.Create(wav, rate)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Write(x); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		for _, r := range rivals {
			track, err := r.hear(wav)
			detecttest.Need(t, err)
			hz, points := track.Median(0.4, 1.5)
			if points == 0 {
				t.Errorf("%.2f Hz: %s heard nothing", f0, r.name)
				continue
			}
			theirs := 1200 * math.Log2(hz/truth.F1)
			apart := 1200 * math.Log2(take.Reading.F1.V/hz)
			t.Logf("%.2f Hz: ours %+.4f cents, %s %+.2f", f0, ours, r.name, theirs)
			if math.Abs(apart) > r.max {
				t.Errorf("%.2f Hz: %.1f cents from %s, want at most %g", f0, apart, r.name, r.max)
			}
		}
	}
}
