package detect_test

import (
	"math"
	"os"
	"strconv"
	"sync"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// hardTake is take i of those that the detector may be tuned on. The published
// figures are of others: cmd/pluckbench draws them from the reporting stream.
func hardTake(i uint64) (synth.Take, string) {
	c := detecttest.Hard(detecttest.Tuning, i)
	return c.Take, c.String()
}

// wantedTakes is how many takes PLUCKWEIGH_TAKES asks for, or usual.
func wantedTakes(t *testing.T, usual int) int {
	t.Helper()
	v := os.Getenv("PLUCKWEIGH_TAKES")
	if v == "" {
		return usual
	}
	n, err := strconv.Atoi(v)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestHardTakes asks for no wrong note and few refusals. PLUCKWEIGH_TAKES sets how
// many takes are drawn; the statistics are logged (go test -v).
func TestHardTakes(t *testing.T) {
	count := wantedTakes(t, 60)
	type result struct {
		desc    string
		trusted bool
		off, u  float64 // cents
		doubts  []detect.Code
	}
	results := make([]result, count)
	var wg sync.WaitGroup
	for w := range 2 {
		wg.Go(func() {
			for i := w; i < count; i += 2 {
				tk, desc := hardTake(uint64(i))
				x, truth, err := tk.Render()
				if err != nil {
					t.Error(err)
					return
				}
				take, err := detect.Analyze(x, tk.Rate, detect.Options{})
				if err != nil {
					t.Error(err)
					return
				}
				r := result{desc: desc, doubts: codes(take)}
				if take.Reading != nil {
					r.trusted = true
					r.off = 1200 * math.Log2(take.Reading.F0.V/truth.F0)
					r.u = 1200 / math.Ln2 * take.Reading.F0.U / truth.F0
				}
				results[i] = r
			}
		})
	}
	wg.Wait()
	var refused, in1, in2 int
	var off []float64
	for _, r := range results {
		if !r.trusted {
			refused++
			t.Logf("refused %s: %v", r.desc, r.doubts)
			continue
		}
		a := math.Abs(r.off)
		off = append(off, a)
		if a > 50 {
			t.Errorf("wrong note, off by %.1f cents: %s", r.off, r.desc)
		}
		if a < r.u {
			in1++
		}
		if a < 2*r.u {
			in2++
		}
	}
	if refused*100 > 6*count {
		t.Errorf("%d of %d takes refused", refused, count)
	}
	med, p95 := quantile(off, 0.5), quantile(off, 0.95)
	n := float64(len(off))
	t.Logf("%d takes, %d refused, f0 off by %.4f cents in the median, %.3f at 95 %%; within u %.1f %%, within 2u %.1f %%",
		count, refused, med, p95, 100*float64(in1)/n, 100*float64(in2)/n)
	if p95 > 2 {
		t.Errorf("95 %% within %.2f cents, want 2", p95)
	}
}
