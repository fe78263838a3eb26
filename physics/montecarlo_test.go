package physics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// monteCarlo propagates the distributions themselves (JCGM 101:2008), through
// the physics written out again: mean, standard deviation, and how many of the
// draws lie within lo and hi.
func monteCarlo(s Stretch, w Measured[UnitWeight], b func(*rand.Rand) float64, lo, hi float64) (mean, sd, within float64) {
	return monteCarloPair(s, w, func(r *rand.Rand) (f, stiff float64) {
		return float64(s.F0.Value) + float64(s.F0.U)*r.NormFloat64(), b(r)
	}, lo, hi)
}

// monteCarloPair is monteCarlo with f0 and B drawn together.
func monteCarloPair(s Stretch, w Measured[UnitWeight], pair func(*rand.Rand) (f, b float64), lo, hi float64) (mean, sd, within float64) {
	const draws = 400_000
	r := rand.New(rand.NewPCG(1, 2))
	normal := func(v, u float64) float64 { return v + u*r.NormFloat64() }
	var sum, squares float64
	for range draws {
		f, b := pair(r)
		f *= normal(1, s.Clock.U)
		l := normal(float64(s.Length.Value), float64(s.Length.U))
		root := math.Sqrt(b)
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
		// The model that the result carries says the same.
		p := drawn(r)
		if math.Abs(p.U/sd-1) > 0.01 || math.Abs(p.Mean-mean) > 0.01*u {
			t.Errorf("ends %v: by its model %v ± %v, Monte Carlo %v ± %v", ends, p.Mean, p.U, mean, sd)
		}
		// Ends that are unknown make a rectangular part, with less in its tails.
		if ends != EndsUnknown && !p.Agrees || !p.Holds() {
			t.Errorf("ends %v: the budget does not agree with %+v", ends, p)
		}
	}
}

// drawn is Result.MonteCarlo with fewer draws, which are plenty for what is tested.
func drawn[Q Quantity](r Result[Q]) Validation {
	return r.Validate(must(r.Model.Propagate(200_000, 0.95, 3)), 1)
}

// Where f0 and B are all that matters, their correlation does, in the budget as in
// the draws.
func TestCorrelatedMonteCarlo(t *testing.T) {
	for _, ends := range []Ends{EndsUnknown, EndsClamped} {
		for _, corr := range []float64{-0.95, 0.6} {
			s, w := bass()
			w.U, s.Length.U, s.F0.U = 0, 0, s.F0.Value*2e-3
			s.Ends, s.Corr, s.B = ends, corr, Stated[Inharmonicity](5e-4, 1e-4)
			r := must(s.Tension(w))
			mean, sd, _ := monteCarloPair(s, w, func(r *rand.Rand) (f, b float64) {
				x, y := r.NormFloat64(), r.NormFloat64()
				return float64(s.F0.Value + s.F0.U*Frequency(x)),
					math.Abs(float64(s.B.Value) + float64(s.B.U)*(corr*x+math.Sqrt(1-corr*corr)*y))
			}, 0, 1)
			if u := float64(r.U); math.Abs(sd/u-1) > 0.01 || math.Abs(mean-float64(r.Value)) > 0.05*u {
				t.Errorf("ends %v, r = %v: %v ± %v, Monte Carlo %v ± %v", ends, corr, r.Value, u, mean, sd)
			}
			if p := drawn(r); math.Abs(p.U/sd-1) > 0.01 || math.Abs(p.Mean-mean) > 0.02*sd {
				t.Errorf("ends %v, r = %v: by its model %v ± %v, Monte Carlo %v ± %v", ends, corr, p.Mean, p.U, mean, sd)
			}
			s.Corr = 0
			if plain := must(s.Tension(w)); math.Abs(float64(plain.U/r.U)-1) < 0.03 {
				t.Errorf("ends %v, r = %v: the correlation makes no difference", ends, corr)
			}
		}
	}
}

// The other ways of weighing that carry a model, against powers of normal numbers
// written out again.
func TestWeighingMonteCarlo(t *testing.T) {
	s, _ := bass()
	s.Ends = EndsPinned
	for _, c := range []struct {
		what string
		r    Result[UnitWeight]
		by   [][2]float64 // relative uncertainty and exponent of each input
	}{
		{"pull", must(s.UnitWeight(Stated[Force](150, 3))), [][2]float64{{0.02, 1}, {0.5 / 864, -2}, {float64(s.F0.U / s.F0.Value), -2}}},
		{"wire", must(PlainWire{Stated(0.3*Millimetre, 0.003*Millimetre), Stated[Density](7850, 30)}.UnitWeight()), [][2]float64{{0.01, 2}, {30.0 / 7850, 1}}},
		{"cut", must(Cut{Stated(9*Gram, 0.09*Gram), Stated[Length](0.5, 0.01)}.UnitWeight()), [][2]float64{{0.01, 1}, {0.02, -1}}},
	} {
		r := rand.New(rand.NewPCG(8, 9))
		var all []float64
		for range 200_000 {
			y := float64(c.r.Value)
			for _, in := range c.by {
				y *= math.Pow(1+in[0]*r.NormFloat64(), in[1])
			}
			all = append(all, y)
		}
		mean, sd := stat.MeanStdDev(all, nil)
		p := drawn(c.r)
		if math.Abs(p.U/sd-1) > 0.01 || math.Abs(p.Mean-mean) > 0.02*sd || !p.Agrees {
			t.Errorf("%s: by its model %v ± %v (agrees %v), Monte Carlo %v ± %v", c.what, p.Mean, p.U, p.Agrees, mean, sd)
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
