package detect_test

import (
	"math"
	"testing"

	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// TestTrackerOnRecordedNotes: what the tracker says of the recorded notes from
// 0.2 s on is their fundamental, a hundredth or so excepted, with and without a
// high-pass that takes the low ones' away.
func TestTrackerOnRecordedNotes(t *testing.T) {
	notes, err := detecttest.Notes()
	detecttest.Need(t, err)
	for _, filtered := range []bool{false, true} {
		var off []float64
		said, wrong, all := 0, 0, 0
		for _, n := range notes {
			x := append(make([]float64, int(0.3*n.Rate)), n.Samples...)
			if filtered {
				takeLows(x, 90/n.Rate)
			}
			tr := detect.NewTracker(n.Rate)
			mine, mineWrong := 0, 0
			step := int(0.01 * n.Rate)
			for i := 0; i+step <= len(x); i += step {
				now := tr.Push(x[i : i+step])
				if now.Seconds < 0.55 || now.Seconds > 1.8 {
					continue
				}
				all++
				if now.Hz == 0 {
					continue
				}
				mine++
				if c := math.Abs(1200 * math.Log2(now.Hz/n.Hz)); c > 50 {
					mineWrong++
				} else {
					off = append(off, c)
				}
			}
			if mineWrong > mine/2 || mine == 0 {
				t.Errorf("%s, filtered %t: wrong %d times in %d", n.Name, filtered, mineWrong, mine)
			}
			said, wrong = said+mine, wrong+mineWrong
		}
		t.Logf("filtered %t: a pitch in %.1f %% of the time, wrong in %.2f %%, else off the keys by %.1f cents in the median, %.1f at the 95th percentile",
			filtered, 100*float64(said)/float64(all), 100*float64(wrong)/float64(said), quantile(off, 0.5), quantile(off, 0.95))
		if said < all*9/10 || wrong > said/100 {
			t.Errorf("filtered %t: %d of %d looks find a pitch, %d a wrong one", filtered, said, all, wrong)
		}
	}
}

// takeLows high-passes x in place, twice one pole at f cycles a sample.
func takeLows(x []float64, f float64) {
	k := -math.Expm1(-2 * math.Pi * f)
	var mean [2]float64
	for i, v := range x {
		for j := range mean {
			mean[j] += k * (v - mean[j])
			v -= mean[j]
		}
		x[i] = v
	}
}
