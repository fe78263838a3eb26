package synth

import (
	"math"
	"testing"
)

// firstMode integrates the first mode of a string that is stretched by its own
// motion, in both directions: q″ + 2αq′ + ω²(1 + κ|q|²)q = 0 with κ = π²EA/(4TL²),
// tension T + EA·(mean of y′²)/2. It returns the phase, in periods of y, every
// step seconds, from its passages through zero.
func firstMode(s String, height, alpha float64, circular bool, seconds float64) (at, periods []float64) {
	// Damping lowers the frequency of a mode; a synthetic string's is that at
	// which it sounds.
	omega := math.Hypot(2*math.Pi*s.F0(), alpha)
	kappa := math.Pi * math.Pi * s.AxialStiffness / (4 * s.Tension * s.Length * s.Length)
	type state [4]float64 // y, y′, z, z′
	slope := func(q state) state {
		k := omega * omega * (1 + kappa*(q[0]*q[0]+q[2]*q[2]))
		return state{q[1], -2*alpha*q[1] - k*q[0], q[3], -2*alpha*q[3] - k*q[2]}
	}
	step := func(q state, h float64) state {
		move := func(d state, h float64) (r state) {
			for i := range r {
				r[i] = q[i] + h*d[i]
			}
			return r
		}
		k1 := slope(q)
		k2 := slope(move(k1, h/2))
		k3 := slope(move(k2, h/2))
		k4 := slope(move(k3, h))
		for i := range q {
			q[i] += h / 6 * (k1[i] + 2*k2[i] + 2*k3[i] + k4[i])
		}
		return q
	}
	q := state{height}
	if circular {
		q[3] = height * omega * math.Sqrt(1+kappa*height*height)
	}
	h := 1 / s.F0() / 400
	count := 0.0
	for t := 0.0; t < seconds; t += h {
		next := step(q, h)
		if q[0] < 0 && next[0] >= 0 { // rising through zero: three quarters of a period
			x := h * q[0] / (q[0] - next[0])
			for range 4 {
				m := step(q, x)
				x -= m[0] / m[1]
			}
			at, periods = append(at, t+x), append(periods, count+0.75)
			count++
		}
		q = next
	}
	return at, periods
}

func TestGlideAgainstDuffing(t *testing.T) {
	for name, c := range map[string]struct {
		height   float64
		circular bool
	}{
		"1 mm":        {0.001, false},
		"3 mm":        {0.003, false},
		"5 mm":        {0.005, false},
		"3 mm around": {0.003, true},
	} {
		s := bassE()
		s.Stiffness = 0
		s.Decay = Decay{Base: 1.5}
		p := Pluck{Height: c.height, Point: 0.2, Circular: c.circular}
		g := p.Glide(s)
		w := newWarp(0, g, s.Decay.Base, 0)
		at, periods := firstMode(s, c.height, s.Decay.Base, c.circular, 3)
		var most float64
		for i := 10; i < len(at); i += 10 {
			// Frequency over ten periods, against the closed form over the same.
			rise := 10/(at[i]-at[i-10])/s.F0() - 1
			want := (w.at(at[i])-w.at(at[i-10]))/(at[i]-at[i-10]) - 1
			most = max(most, math.Abs(rise-want))
		}
		last := len(at) - 1
		drift := periods[last] - s.F0()*w.at(at[last])
		t.Logf("%-12s glide %.3f cents, formula off by at most %.4f cent (%.2f %% of the glide), %.5f periods after %.2f s",
			name, 1200*math.Log2(1+g), 1200*most/math.Ln2, 100*most/g, drift, at[last])
		// The Duffing equation's next term is −(7/12)g² in a plane, −g²/2 whirling.
		if most > 0.6*g*g {
			t.Errorf("%s: off by %.2e of a glide of %.2e", name, most, g)
		}
	}
}

func TestGlideFigures(t *testing.T) {
	// An EA/T such that 1, 3 and 5 mm on 0.864 m give 0.4, 3.4 and 9.5 cents (derived).
	s := bassE()
	for height, want := range map[float64]float64{0.001: 0.4, 0.003: 3.4, 0.005: 9.5} {
		if got := 1200 * math.Log2(1+Pluck{Height: height, Point: 0.2}.Glide(s)); math.Abs(got-want) > 0.06 {
			t.Errorf("%g m: %.2f cents, want %.1f", height, got, want)
		}
	}
	plane := Pluck{Height: 0.003, Point: 0.2}
	whirl := plane
	whirl.Circular = true
	if r := whirl.Glide(s) / plane.Glide(s); math.Abs(r-4./3) > 1e-12 {
		t.Errorf("whirling glides %g times as far as swinging in a plane, want 4/3", r)
	}
}
