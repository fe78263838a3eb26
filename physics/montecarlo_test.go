package physics

import (
	"math"
	"math/rand/v2"
	"testing"
)

// monteCarlo propagates the distributions themselves (JCGM 101:2008), through
// the physics written out again: mean, standard deviation, and how many of the
// draws lie within lo and hi.
func monteCarlo(s Stretch, w Measured[UnitWeight], b func(*rand.Rand) float64, lo, hi float64) (mean, sd, within float64) {
	const draws = 400_000
	r := rand.New(rand.NewPCG(1, 2))
	normal := func(v, u float64) float64 { return v + u*r.NormFloat64() }
	var sum, squares float64
	for range draws {
		f := normal(float64(s.F0.Value), float64(s.F0.U)) * normal(1, s.Clock.U)
		l := normal(float64(s.Length.Value), float64(s.Length.U))
		root := math.Sqrt(b(r))
		raise := 1 + 2/math.Pi*root + 4/(math.Pi*math.Pi)*root*root
		flexible := 1 / (raise * raise)
		var factor float64
		switch s.Ends {
		case EndsPinned:
			factor = 1
		case EndsClamped:
			factor = flexible
		default:
			factor = flexible + r.Float64()*(1-flexible)
		}
		t := 4 * normal(float64(w.Value), float64(w.U)) * l * l * f * f * factor
		sum += t
		squares += t * t
		if lo <= t && t <= hi {
			within++
		}
	}
	mean = sum / draws
	return mean, math.Sqrt(squares/draws - mean*mean), within / draws
}

func TestTensionMonteCarlo(t *testing.T) {
	for _, ends := range []Ends{EndsUnknown, EndsPinned, EndsClamped} {
		s, w := bass()
		s.Ends, s.Clock = ends, Relative{U: 200e-6}
		// A B of 20 % would show the second order: 0.006 % of the tension.
		s.B = Stated[Inharmonicity](1e-4, 5e-6)
		r := must(s.Tension(w))
		v, u := float64(r.Value), float64(r.U)
		mean, sd, within := monteCarlo(s, w, func(r *rand.Rand) float64 {
			return math.Max(0, 1e-4+5e-6*r.NormFloat64())
		}, v-2*u, v+2*u)
		// The standard deviation of 4e5 draws is good to 0.11 %.
		if math.Abs(sd/u-1) > 0.01 || math.Abs(mean-v) > 0.02*u {
			t.Errorf("ends %v: %v ± %v, Monte Carlo %v ± %v", ends, v, u, mean, sd)
		}
		if within < 0.945 || within > 0.97 {
			t.Errorf("ends %v: U holds %.3f of the draws", ends, within)
		}
	}
}

// A B that could not be heard has value 0 and an uncertainty; the result stays
// on the safe side of a half-normal distribution of that width.
func TestUnknownStiffness(t *testing.T) {
	const plausible = 2e-4
	for _, ends := range []Ends{EndsUnknown, EndsClamped} {
		s, w := bass()
		s.Ends, s.B = ends, Measured[Inharmonicity]{U: plausible, Assumed: true}
		r := must(s.Tension(w))
		v, u := float64(r.Value), float64(r.U)
		_, sd, within := monteCarlo(s, w, func(r *rand.Rand) float64 {
			return plausible * math.Abs(r.NormFloat64())
		}, v-2*u, v+2*u)
		if within < 0.95 {
			t.Errorf("ends %v: U holds only %.3f of the draws", ends, within)
		}
		if u > 1.6*sd {
			t.Errorf("ends %v: u is %v, Monte Carlo says %v: needlessly wide", ends, u, sd)
		}
		if !has(r.Budget, "inharmonicity", true) {
			t.Errorf("ends %v: the budget does not say that B is assumed: %+v", ends, r.Budget)
		}
	}
}
