// Package trial holds the detector against what is known: synthetic takes and
// their truth, the Cramér–Rao bound, recorded notes, and general pitch detectors.
// It measures and prints nothing.
package trial

import (
	"context"
	"fmt"
	"math"
	"sync"
	"sync/atomic"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// Options are what all trials are told.
type Options struct {
	Stream   detecttest.Stream
	Takes    int
	Workers  int                   // at least 1
	Progress func(done, total int) // may be nil; called from several goroutines
}

// wrongCents is what a reading must be off by to be another note.
const wrongCents = 50

// each calls f for 0 to count−1 on several workers and returns the results in
// order, or the first error.
func each[T any](ctx context.Context, o Options, count int, f func(i int) (T, error)) ([]T, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	results := make([]T, count)
	var next, done atomic.Int64
	var wg sync.WaitGroup
	for range max(1, o.Workers) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < count && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				r, err := f(i)
				if err != nil {
					cancel(err)
					return
				}
				results[i] = r
				if n := int(done.Add(1)); o.Progress != nil {
					o.Progress(n, count)
				}
			}
		})
	}
	wg.Wait()
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	return results, nil
}

// heard is what the detector made of one case.
type heard struct {
	detecttest.Case
	truth synth.Truth
	take  detect.Take
}

// hear renders one case and listens to it.
func hear(c detecttest.Case) (heard, error) {
	x, truth, err := c.Take.Render()
	if err != nil {
		return heard{}, fmt.Errorf("%v: %w", c, err)
	}
	take, err := detect.Analyze(x, c.Take.Rate, detect.Options{})
	if err != nil {
		return heard{}, fmt.Errorf("%v: %w", c, err)
	}
	return heard{c, truth, take}, nil
}

// cents is the interval from b up to a.
func cents(a, b float64) float64 { return 1200 * math.Log2(a/b) }

// off is how far the reading lies from the truth, in cents of f0.
func (h heard) off() float64 { return cents(h.take.Reading.F0.V, h.truth.F0) }

// reasons lists the doubts that stand against a take, each once.
func reasons(take detect.Take) []string {
	var out []string
	seen := map[detect.Code]bool{}
	add := func(ds []detect.Doubt) {
		for _, d := range ds {
			if d.Fatal && !seen[d.Code] {
				seen[d.Code] = true
				out = append(out, string(d.Code))
			}
		}
	}
	add(take.Doubts)
	for _, p := range take.Plucks {
		add(p.Doubts)
	}
	return out
}
