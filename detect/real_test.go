package detect_test

import (
	"math"
	"slices"
	"sync"
	"testing"

	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// quantile is the q-quantile of v by nearest rank; v is sorted by it.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[min(len(v)-1, int(q*float64(len(v))))]
}

// TestRealNotes hears the recorded notes of Debian's package fluid-soundfont-gm
// (MIT licence; nothing of it is kept here) at their keys: no octave errors, and
// nothing refused but for a reason that can be heard in the recording.
func TestRealNotes(t *testing.T) {
	notes, err := detecttest.Notes()
	detecttest.Need(t, err)
	// Banjo 1 has a second string ringing a fourth above, as loud as the first.
	mayRefuse := map[string]bool{"Banjo 1": true}
	takes := make([]detect.Take, len(notes))
	var wg sync.WaitGroup
	for w := range 2 {
		wg.Go(func() {
			for i := w; i < len(notes); i += 2 {
				take, err := detect.Analyze(notes[i].Samples, notes[i].Rate, detect.Options{})
				if err != nil {
					t.Error(err)
				}
				takes[i] = take
			}
		})
	}
	wg.Wait()
	stiff := map[string]map[string]float64{} // family, string and fret to B
	var off []float64
	for i, n := range notes {
		take := takes[i]
		if take.Reading == nil {
			if !mayRefuse[n.Name] {
				t.Errorf("%s: refused, %v", n.Name, codes(take))
			}
			continue
		}
		// The keys are those that the recordings' makers set by ear or tool: some
		// cents either way.
		c := 1200 * math.Log2(take.Reading.F1.V/n.Hz)
		off = append(off, math.Abs(c))
		if math.Abs(c) > 20 {
			t.Errorf("%s: heard %.2f Hz, %+.1f cents from its key", n.Name, take.Reading.F1.V, c)
		}
		if n.FretLaw && take.Reading.BKnown {
			if stiff[n.Family] == nil {
				stiff[n.Family] = map[string]float64{}
			}
			stiff[n.Family][n.String+string(rune('0'+n.Fret))] = take.Reading.B.V
		}
	}
	t.Logf("%d notes heard, off their keys by %.2f cents in the median, %.1f at most", len(off), quantile(off, 0.5), slices.Max(off))
	// Fretting shortens the string: B grows by 2^(n/6) with the fret n, since
	// B = π²EI/(TL²) and L falls by 2^(-n/12).
	var open []float64
	for family, b := range stiff {
		for fret, key := range map[float64]string{2: "E2", 4: "E4"} {
			want := math.Exp2(fret / 6)
			got := b[key] / b["E0"]
			t.Logf("%s: E string, fret %g: B %.3g, over open %.3f, the law says %.3f", family, fret, b[key], got, want)
			if math.Abs(got/want-1) > 0.1 {
				t.Errorf("%s: B at fret %g over open is %.3f, want %.3f within 10 %%", family, fret, got, want)
			}
		}
		open = append(open, b["E0"])
	}
	if len(open) < 4 {
		t.Fatalf("only %d ways of playing the E string were heard with B", len(open))
	}
	if s := slices.Max(open)/slices.Min(open) - 1; s > 0.1 {
		t.Errorf("four ways of plucking one string differ in B by %.0f %%", 100*s)
	}
}
