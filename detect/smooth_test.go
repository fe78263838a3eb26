package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestLeaks: noise alone is hardly taken for what leaks in from afar, a leak well over it
// is, and what is left of its power then is the noise's.
func TestLeaks(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const bins, runs = 65, 400
	for _, c := range []struct {
		flat, tilt float64 // of the leak, over the noise
		low, high  float64 // shares of it taken out, mean
	}{{0, 0, 0, 0.25}, {1, 0.05, 0.9, 1}, {5, 0.5, 0.99, 1}} {
		flat, tilt, power := 0.0, 0.0, 0.0
		for range runs {
			fr := &frame{rest: make([]complex128, bins)}
			l := &line{lo: 0, hi: bins}
			for k := range fr.rest {
				noise := complex(r.NormFloat64(), r.NormFloat64()) / math.Sqrt2
				fr.rest[k] = noise + complex(c.flat, c.tilt*l.place(k))
			}
			fr.findLeaks(l)
			flat, tilt = flat+(1-l.bare[0])/runs, tilt+(1-l.bare[1])/runs
			power += fr.left(l) / bins / runs
		}
		if flat < c.low || flat > c.high || tilt < c.low || tilt > c.high {
			t.Errorf("a leak of %v and %v over the noise: %.3f and %.3f taken out", c.flat, c.tilt, flat, tilt)
		}
		if math.Abs(power-1) > 0.06 {
			t.Errorf("a leak of %v and %v over the noise: %.3f times the noise is left", c.flat, c.tilt, power)
		}
	}
}
