package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

// levels are trails of so many partials, each falling as fall says, in noise of
// standard deviation sigma nepers.
func levels(partials, hops int, sigma float64, seed uint64, fall func(n int, t float64) float64) []trail {
	r := rand.New(rand.NewPCG(seed, 6))
	var ts []trail
	for n := 1; n <= partials; n++ {
		tr := trail{edge: 2}
		for i := range hops {
			tr.level = append(tr.level, -float64(n)-fall(n, float64(i)*trailHop)+sigma*r.NormFloat64())
		}
		ts = append(ts, tr)
	}
	return ts
}

// TestFaded: partials that fade as one are no string's, whatever the fade; a
// string's die each by itself, and noise alone makes no fade.
func TestFaded(t *testing.T) {
	for _, c := range []struct {
		name     string
		partials int
		sigma    float64
		fall     func(n int, t float64) float64
		want     bool
	}{
		{"exponential", 8, 1e-3, func(_ int, t float64) float64 { return 1.2 * t }, true},
		{"linear", 8, 1e-3, func(_ int, t float64) float64 { return -math.Log(math.Max(1-t/2, 1e-3)) }, true},
		{"held, then turned down", 5, 1e-3, func(_ int, t float64) float64 { return 2 * max(0, t-0.7) }, true},
		{"three partials", 3, 1e-4, func(_ int, t float64) float64 { return t }, true},
		{"two partials", 2, 1e-4, func(_ int, t float64) float64 { return t }, false},
		{"steady", 8, 1e-3, func(int, float64) float64 { return 0 }, false},
		{"hidden in noise", 4, 0.3, func(_ int, t float64) float64 { return 0.4 * t }, false},
		{"a string", 8, 1e-3, func(n int, t float64) float64 { return (0.8 + 0.05*float64(n*n)) * t }, false},
		{"a string whose partials differ by a tenth", 8, 1e-3, func(n int, t float64) float64 {
			return (1 + 0.1*math.Sin(float64(3*n))) * t
		}, false},
		{"a string under a fade", 8, 1e-3, func(n int, t float64) float64 {
			return (0.8+0.05*float64(n*n))*t + 0.5*t*t
		}, false},
	} {
		if got := faded(levels(c.partials, 100, c.sigma, 1, c.fall)); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	if faded(nil) || faded([]trail{{}}) {
		t.Error("nothing has faded")
	}
}

// TestFadedByChance: of strings whose decays spread as little as any string's can,
// few are called faded.
func TestFadedByChance(t *testing.T) {
	const runs = 3000
	called := 0
	for i := range uint64(runs) {
		r := rand.New(rand.NewPCG(i, 7))
		var rate [12]float64
		for n := range rate {
			rate[n] = 1 + leastSpread*r.NormFloat64()
		}
		if faded(levels(3+int(i%8), 60, 1e-3, i, func(n int, t float64) float64 { return rate[n] * t })) {
			called++
		}
	}
	if want := alikeChance * runs; float64(called) > want+4*math.Sqrt(want) {
		t.Errorf("%d of %d, want about %.0f", called, runs, want)
	}
}
