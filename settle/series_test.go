package settle

import (
	"math"
	"math/rand/v2"
)

// series is an invented series of so many readings over a span in seconds, with their
// uncertainty, a further scatter, and a fraction of readings that are something else.
func series(random *rand.Rand, n int, span float64, pitch func(t float64) float64, u, scatter, wrong float64) []Reading {
	var all []Reading
	for i := range n {
		t := span * float64(i) / float64(max(1, n-1))
		y := pitch(t) + math.Hypot(u, scatter)*random.NormFloat64()
		if random.Float64() < wrong {
			y += 40 * (random.Float64() - 0.5)
		}
		all = append(all, Reading{At: t, Cents: y, U: u})
	}
	return all
}
