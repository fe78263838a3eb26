package detect_test

import (
	"math"
	"slices"
	"sync"
	"testing"

	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// A clip that slips, creeps, falls off or does not sit at the middle gives no wrong
// number: it is refused, or its uncertainty is as large as the error. One that rattles
// may, where it does so to both halves of a pluck alike, or where what is loose hardly
// touches the rest; seldom without a doubt. One that is firm is heard rightly.
// PLUCKWEIGH_TAKES sets how many takes of each trouble are made; the statistics are
// logged (go test -v).
func TestTroubledClips(t *testing.T) {
	count := wantedTakes(t, 2)
	for kind := range detecttest.Troubles {
		t.Run(kind.String(), func(t *testing.T) {
			var refused, inside, wrong, silent int
			worst := 0.0
			var mu sync.Mutex
			var wg sync.WaitGroup
			for w := range 2 {
				wg.Go(func() {
					for i := w; i < count; i += 2 {
						c := detecttest.NewTroubled(kind, detecttest.Tuning, uint64(i))
						take, err := detect.AnalyzeLoaded(c.Samples, c.Rate, detect.Mass{}, detect.Options{})
						if err != nil {
							t.Error(err)
							return
						}
						mu.Lock()
						if r := take.Reading; r == nil {
							refused++
						} else {
							off, u := math.Abs(r.Load.Ratio.V/c.Ratio-1), r.Load.Ratio.U/c.Ratio
							worst = max(worst, off)
							if off < 2*u || off < 1e-3 {
								inside++
							}
							if off > 3*u && off > 5e-3 {
								wrong++
								if !slices.Contains(codes(take), detect.Misfit) {
									silent++
								}
								t.Logf("off by %.2f %%, u %.2f %%: %s", 100*off, 100*u, c.Said)
							}
						}
						mu.Unlock()
					}
				})
			}
			wg.Wait()
			t.Logf("%d takes: %d refused, %d heard within 2u or 0.1 %%, %d wrong by more than 3u and 0.5 %%, %d of them silently; off by %.2f %% at most",
				count, refused, inside, wrong, silent, 100*worst)
			if kind == detecttest.Firm && (refused > count/20 || inside < count-refused || worst > 1e-3) {
				t.Errorf("a firm clip: %d refused, %d inside, off by %.3f %%", refused, inside, 100*worst)
			}
			most, mostSilent := count/50, count/50
			if kind == detecttest.Rattles {
				most, mostSilent = count/8, count/25
			}
			if wrong > most || silent > mostSilent {
				t.Errorf("%d of %d are wrong, %d of them silently", wrong, count, silent)
			}
		})
	}
}
