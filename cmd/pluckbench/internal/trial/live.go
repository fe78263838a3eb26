package trial

import (
	"context"
	"math"
	"runtime"
	"time"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
)

// Live says how fast the tracker is.
type Live struct {
	Hz       float64 `json:"hz"`
	Realtime Number  `json:"times_real_time"` // best of several runs on one thread
	Allocs   Number  `json:"allocations_per_hop"`
}

// Follow times the live tracker on plucks of three strings, 20 ms at a time.
func Follow(ctx context.Context) ([]Live, error) {
	const rate, hop, seconds, runs = 48000, 960, 3, 3
	var out []Live
	for _, hz := range []float64{31, 82.4, 330} {
		x, _, err := synth.Take{
			String: synth.FromPitch(hz, 5e-5), Rate: rate, Seconds: seconds, Level: -6,
			Plucks: []synth.Pluck{{At: 0.5, Height: 1e-3, Point: 0.17, Width: 2e-3}},
			Pickup: synth.Pickup{At: 0.11}, Noise: []synth.Noise{{DB: 40}}, Seed: 1,
		}.Render()
		if err != nil {
			return nil, err
		}
		l := Live{Hz: hz, Allocs: Number(math.Inf(1))}
		for range runs {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			t := detect.NewTracker(rate)
			t.Push(x[:rate]) // into the steady state
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			for rest := x[rate:]; len(rest) >= hop; rest = rest[hop:] {
				t.Push(rest[:hop])
			}
			spent := time.Since(start).Seconds()
			runtime.ReadMemStats(&after)
			l.Realtime = max(l.Realtime, Number((seconds-1)/spent))
			l.Allocs = min(l.Allocs, Number(after.Mallocs-before.Mallocs)/((seconds-1)*rate/hop))
		}
		out = append(out, l)
	}
	return out, nil
}
