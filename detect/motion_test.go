package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

// trailsOf are trails of partials of a string of fundamental f0 over hops, in noise of
// standard deviation sigma rad: partial n runs ahead by as many seconds as ahead says.
func trailsOf(f0 float64, partials, hops int, sigma float64, seed uint64, ahead func(n int, t float64) float64) []trail {
	r := rand.New(rand.NewPCG(seed, 5))
	var ts []trail
	for n := 1; n <= partials; n++ {
		tr := trail{hz: float64(n) * f0}
		for i := range hops {
			t := float64(i) * trailHop
			tr.phase = append(tr.phase, 2*math.Pi*tr.hz*ahead(n, t)+sigma*r.NormFloat64())
			tr.power = append(tr.power, 0.5/(sigma*sigma))
		}
		ts = append(ts, tr)
	}
	return ts
}

// TestStray: what all partials do together is found at its size, in noise, and what
// each does by itself is not.
func TestStray(t *testing.T) {
	still := func(int, float64) float64 { return 0 }
	wave := func(depth, hz float64) func(int, float64) float64 {
		return func(_ int, t float64) float64 {
			return depth * cent * (1 - math.Cos(2*math.Pi*hz*t)) / (2 * math.Pi * hz)
		}
	}
	for _, c := range []struct {
		name      string
		partials  int
		ahead     func(n int, t float64) float64
		want, tol float64 // cents
	}{
		{"still", 8, still, 0, 0},
		{"one partial, still", 1, still, 0, 0},
		{"vibrato of 2 cents", 8, wave(2, 1.5), math.Sqrt2, 0.1},
		{"vibrato of 0.5 cent", 8, wave(0.5, 1.5), 0.5 / math.Sqrt2, 0.1},
		{"vibrato of one partial", 1, wave(2, 1.5), math.Sqrt2, 0.1},
		{"partials off their places", 8, func(n int, t float64) float64 {
			return float64(n%3-1) * 2 * cent * t
		}, 0, 0},
		{"partials that beat", 8, func(n int, t float64) float64 {
			return cent * math.Sin(2*math.Pi*0.35*float64(n)*t+float64(n*n)) / (2 * math.Pi * 0.35 * float64(n))
		}, 0, 0},
	} {
		got := newMotion(trailsOf(110, c.partials, 125, 0.003, 1, c.ahead)).stray() / cent
		near(t, c.name, got, c.want, c.tol)
	}
	for _, few := range [][]trail{nil, {}, trailsOf(110, 3, 2, 0.003, 1, still)} {
		near(t, "nothing to follow", newMotion(few).stray(), 0, 0)
	}
}

// TestStrayByChance: noise alone is hardly ever taken for a motion.
func TestStrayByChance(t *testing.T) {
	const runs = 1000
	strayed := 0
	for i := range uint64(runs) {
		still := func(int, float64) float64 { return 0 }
		if newMotion(trailsOf(110, 1+int(i%10), 100, 0.01, i, still)).stray() > 0 {
			strayed++
		}
	}
	// One in a thousand is meant; that the scatter is estimated from few partials
	// makes it some more.
	if strayed > 10 {
		t.Errorf("%d of %d still strings stray", strayed, runs)
	}
}

// TestTrail: a partial that the fit has right runs ahead of it by nothing, and one
// whose pitch wavers by as much as it does.
func TestTrail(t *testing.T) {
	const rate, hz, alpha = 22050.0, 220.0, 1.0
	for _, depth := range []float64{0, 1, 5} { // cents, at 2 Hz
		x := make([]float64, int(2.5*rate))
		ahead := func(s float64) float64 { return depth * cent * (1 - math.Cos(4*math.Pi*s)) / (4 * math.Pi) }
		for i := range x {
			s := float64(i) / rate
			x[i] = 0.3 * math.Exp(-alpha*s) * math.Cos(2*math.Pi*hz*(s+ahead(s)))
		}
		f := &fit{law: law{hz, 0}}
		f.secs = 2.5
		f.sound = excerpt{x, 0, rate}
		f.load()
		tr := f.trail(&line{n: 1, hz: hz, alpha: alpha, amp: 0.3, noise: 1e-6})
		base := tr.phase[tr.edge]
		for i := tr.edge; i < len(tr.phase)-tr.edge; i++ {
			s := float64(i) * trailHop
			want := 2 * math.Pi * hz * (ahead(s) - ahead(float64(tr.edge)*trailHop))
			if tr.power[i] > 0 {
				near(t, "phase ahead, rad", tr.phase[i]-base, want, 0.01+0.15*2*math.Pi*hz*depth*cent/(4*math.Pi))
			}
		}
		if tr.power[len(tr.power)/2] == 0 {
			t.Errorf("%g cents: not followed", depth)
		}
	}
}
