package synth

import "math"

// A Clip is a small mass fixed to one point of the string. It lowers the partials
// that move there.
type Clip struct {
	Mass float64 // kg, 0 for none
	At   float64 // fraction of the speaking length, from the same end as Pluck.Point
}

// ratio is the clip's mass over the string's.
func (s String) ratio() float64 { return s.Clip.Mass / (s.UnitWeight * s.Length) }

// A form is the shape of a mode: sin(πax) on the near side of the clip and a multiple
// of sin(πa(1-x)) on the far side, each with what stiffness rounds the corner at the
// clip by. Lengths are fractions of the speaking length.
//
// Deflection, slope and moment are continuous at the clip and the shear jumps by what
// moves it (Euler–Bernoulli beam under tension), which leaves one equation for the
// number of half waves a; it has one root between n-1 and n.
type form struct {
	n    int
	wave float64 // a
	clip float64 // where it sits; 0 for none, the form being sin(nπx)
	far  float64 // amplitude of the far side's sine
	bend float64 // deflection at the clip that bending adds
	rate float64 // c, sinh(πcx) being the part that stiffness adds
	mass float64 // of the mode over half the string's, for a near side of amplitude 1
}

// form returns the shape of mode n.
func (s String) form(n int) form {
	f := form{n: n, wave: float64(n), mass: 1}
	r := s.ratio()
	if r == 0 {
		return f
	}
	f.clip = s.Clip.At
	b, p, q := s.B(), f.clip, 1-f.clip
	f.wave = s.wave(n)
	a := f.wave
	sum := math.Sin(math.Pi * a)
	s2 := math.Sin(math.Pi * a * q)
	f.far = math.Sin(math.Pi*a*p) / s2
	if math.Abs(sum) < 1e-9 { // a node at the clip
		f.far = -1 / math.Cos(math.Pi*a)
		s2, sum = 1, 0
	}
	if b > 0 {
		f.rate = math.Sqrt(1/b + a*a)
		f.bend = -a / f.rate * sum / s2 / (coth(math.Pi*f.rate*p) + coth(math.Pi*f.rate*q))
	}
	y := f.at(p)
	f.mass = 2 * (f.square(1, p) + f.square(f.far, q) + r*y*y)
	return f
}

// wave returns the number of half waves of mode n on the length, by bisection.
func (s String) wave(n int) float64 {
	lo, hi := float64(n-1), float64(n)
	sign := 1.0
	if n%2 == 0 {
		sign = -1
	}
	for range 60 {
		mid := (lo + hi) / 2
		if sign*s.unbalance(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// unbalance is the shear's jump at the clip less what the clip's inertia takes, for a
// half waves on the length, times what makes it free of poles.
func (s String) unbalance(a float64) float64 {
	b, p := s.B(), s.Clip.At
	sum := math.Sin(math.Pi * a)
	give := math.Sin(math.Pi*a*p) * math.Sin(math.Pi*a*(1-p))
	if b > 0 {
		c := math.Sqrt(1/b + a*a)
		give -= a / c * sum / (coth(math.Pi*c*p) + coth(math.Pi*c*(1-p)))
	}
	return (1+2*b*a*a)*sum - s.ratio()*math.Pi*a*(1+b*a*a)*give
}

// at returns the deflection at the fraction x of the length.
func (f form) at(x float64) float64 {
	if f.clip == 0 {
		return shape(f.n, x)
	}
	amp, reach := 1.0, f.clip
	if x > f.clip {
		amp, reach, x = f.far, 1-f.clip, 1-x
	}
	y := amp * math.Sin(math.Pi*f.wave*x)
	if f.rate > 0 {
		k := math.Pi * f.rate
		y += f.bend * math.Exp(k*(x-reach)) * math.Expm1(-2*k*x) / math.Expm1(-2*k*reach)
	}
	return y
}

// square is the integral of the deflection's square over one side, of sine amplitude
// amp and length reach.
func (f form) square(amp, reach float64) float64 {
	w := math.Pi * f.wave
	sum := amp * amp * (reach/2 - math.Sin(2*w*reach)/(4*w))
	if f.rate > 0 {
		k := math.Pi * f.rate
		s, c := math.Sincos(w * reach)
		h := math.Sinh(k * reach)
		sum += 2 * amp * f.bend * (k*s*coth(k*reach) - w*c) / (w*w + k*k)
		sum += f.bend * f.bend * (coth(k*reach)/(2*k) - reach/(2*h*h))
	}
	return sum
}

// bridge returns the force on the end at x = 0, T·y′ − EI·y‴, over T per length.
func (f form) bridge(b float64) float64 {
	a := f.wave
	force := math.Pi * a * (1 + b*a*a)
	if f.rate > 0 {
		force -= f.bend * math.Pi * f.rate * b * a * a / math.Sinh(math.Pi*f.rate*f.clip)
	}
	return force
}

func coth(x float64) float64 { return 1 / math.Tanh(x) }

// bare returns the string without its clip.
func (s String) bare() String {
	s.Clip = Clip{}
	return s
}
