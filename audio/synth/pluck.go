package synth

import "math"

// A Pluck draws the string aside by a point force and lets it go from rest.
type Pluck struct {
	At     float64 // s from the start of the take; need not fall on a sample
	Height float64 // m, how far the string is drawn aside at Point
	Point  float64 // where, as a fraction of the speaking length

	// Width is the stretch of string the force is spread over, evenly, m: the
	// finger or plectrum. It rounds the corner and weakens high partials. Height
	// remains that of the same force in a point.
	Width float64

	// Circular says that the string whirls instead of swinging in a plane, which
	// changes the glide that Height and AxialStiffness produce.
	Circular bool

	// GlideCents, where not 0, sets the glide at the onset directly, cents above
	// rest, instead of the string's AxialStiffness.
	GlideCents float64
}

// Deflection returns the amplitude, in metres, of each mode sin(nπx/L), n from
// 1 to count, in the static shape from which the pluck is released.
//
// The shape of a pinned stiff string under a force F at x = βL solves
// T y″ − EI y⁗ = −F δ(x−βL), so that in modes
//
//	a_n = C sin(nπβ) / (n² (1+Bn²)),
//
// the triangle's sin(nπβ)/n² with the corner rounded by stiffness. C follows
// from the height at the point of force, where the sum has a closed form. A clip
// changes nothing of the shape at rest, but the modes it is made of: for n stand
// their numbers of half waves, for sin(nπβ) their deflections at the point over
// their masses.
func (p Pluck) Deflection(s String, count int) []float64 {
	b := s.B()
	theta := math.Pi * p.Point
	sum := theta * (math.Pi - theta) / 2
	if b > 0 {
		// Σ sin²(nθ)/(n²+c²) with c² = 1/B, by the Fourier series of cosh.
		c := 1 / math.Sqrt(b)
		edge := math.Expm1(-2*c*theta) * math.Expm1(-2*c*(math.Pi-theta)) / -math.Expm1(-2*c*math.Pi)
		sum -= math.Pi / (4 * c) * edge
	}
	a := make([]float64, count)
	for i := range a {
		f := s.form(i + 1)
		n := f.wave
		a[i] = p.Height / sum * f.at(p.Point) / (n * n * (1 + b*n*n)) / f.mass
		if w := n * math.Pi * p.Width / (2 * s.Length); w > 0 {
			a[i] *= math.Sin(w) / w
		}
	}
	return a
}

// Glide returns the relative frequency rise g at the onset: the string sounds
// at f(t) = f_rest·(1 + g·exp(−2αt)), all partials alike, with α the decay rate
// of the first partial. Where GlideCents does not set it, g is that of one mode
// of amplitude Height, stretched by its own motion: 3π²a²EA/(32TL²) swinging in
// a plane, π²a²EA/(8TL²) whirling (first order of the Duffing equation).
func (p Pluck) Glide(s String) float64 {
	if p.GlideCents != 0 {
		return math.Expm1(p.GlideCents * math.Ln2 / 1200)
	}
	k := 3.0 / 32
	if p.Circular {
		k = 1.0 / 8
	}
	slope := math.Pi * p.Height / s.Length
	return k * slope * slope * s.AxialStiffness / s.Tension
}
