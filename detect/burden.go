package detect

import "math"

// A burden is a small mass on the string near its middle, seen through what it does to
// the partials: it lowers those that move where it sits, the odd ones, and leaves
// those that have a node there.
type burden struct {
	ratio float64 // of its mass to the whole string's
	off2  float64 // square of its distance from the middle, as a fraction of the length

	// A mass that is no point holds a stretch of the string straight, wide as a fraction
	// of the length, and rocks where the string has a node: turn is the square of its
	// radius of gyration, likewise.
	wide, turn float64
}

// wave is partial n of the loaded stiff string: the number of half waves a on the
// length, no whole one where the burden moves, so that its frequency is
// f0 a √(1 + B a²).
//
// In the modes of the bare string, pinned, the loaded one's are where
//
//	1 = 2 ratio λ Σ sin²(mπx/L) / (m² (1 + B m²) - λ),  λ = a² (1 + B a²)
//
// (from Lagrange's equations). The right-hand side grows from one pole to the next, so
// that one root lies between n-1 and n (Rayleigh, The Theory of Sound, §92, from
// memory). It has a closed form, see secular. The square of the distance stands for the
// place, as both sides of the middle sound the same; slightly negative, which no place
// is, it carries the law on smoothly.
//
// To an odd partial a stretch that is held straight is so much less string, and so much
// more mass, at whose end the string has no slope either way. The search begins at near,
// if that can be; 0 where nothing is known.
func (bu burden) wave(n int, b, near float64) float64 {
	if n%2 == 0 {
		return bu.point(n, b, near)
	}
	s := 1 - bu.wide
	return burden{ratio: (bu.ratio + bu.wide) / s, off2: bu.off2 / (s * s)}.point(n, b/(s*s), near*s) / s
}

// point is wave for a mass in a point.
func (bu burden) point(n int, b, near float64) float64 {
	lo, hi := float64(n-1), float64(n)
	if bu.ratio <= 0 {
		return hi
	}
	sign := 1.0
	a := hi - 1e-9
	if n%2 == 0 {
		sign = -1
	} else {
		a = lo + 2/math.Pi*math.Atan(2/(math.Pi*bu.ratio*hi))
	}
	if near > lo && near < hi {
		a = near
	}
	for range 60 {
		g, slope := bu.secular(a, b)
		if g*sign > 0 {
			lo = a
		} else {
			hi = a
		}
		next := a - g/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-a) < 1e-13*hi || next == lo || next == hi {
			return next
		}
		a = next
	}
	return a
}

// secular is the equation that point solves, times sin(πa) so that it has no poles:
// the partial fractions of 1/(m²(1+Bm²)-λ) in m² are those of a and of an imaginary
// number of half waves, and both sums are Fourier series of known functions. Its slope
// takes bending for that of a long string, which is near enough to find the root by.
func (bu burden) secular(a, b float64) (g, slope float64) {
	s, c := math.Sincos(math.Pi * a)
	stiff := 1 + 2*b*a*a
	k := 2 * bu.ratio * a * a * (1 + b*a*a) / stiff
	dk := (4*bu.ratio*a*stiff - 4*b*a*k) / stiff
	bend := bu.bending(a, b)
	dBend := 0.0
	if b > 0 {
		dBend = -bend * a / (1/b + a*a)
	}
	at, dAt := cosRoot(4 * math.Pi * math.Pi * a * a * bu.off2)
	dAt *= 8 * math.Pi * math.Pi * a * bu.off2
	p, dp := k*math.Pi/(4*a), math.Pi/4*(dk/a-k/(a*a))
	g = s*(1+k*bend) - p*(at-c)
	slope = math.Pi*c*(1+k*bend) + s*(dk*bend+k*dBend) - dp*(at-c) - p*(dAt+math.Pi*s)
	return g, slope
}

// bending is Σ sin²(mπx/L)/(m²+c²) with c² = 1/B + a², what stiffness takes of the
// string's giving way.
func (bu burden) bending(a, b float64) float64 {
	if b <= 0 {
		return 0
	}
	c := math.Sqrt(1/b + a*a)
	d := math.Sqrt(max(bu.off2, 0))
	if c*(1-2*d) > 12 {
		return math.Pi / (4 * c) // what follows is 1 to the last bit
	}
	end := math.Exp(-2 * math.Pi * c)
	beside := math.Exp(math.Pi*c*(2*d-1)) + math.Exp(-math.Pi*c*(2*d+1))
	return math.Pi / (4 * c) * (1 + end - beside) / (1 - end)
}

// rocking is by how much, relative, the mass's turning lowers partial n, of a half waves.
// It goes with the square of the slope where it sits. Each half of the string, up to the
// held stretch w, ends on a mass of inertia J that turns:
//
//	J k²/µ = w (1 + (w/2) k cot kl),  l = (L-w)/2,
//
// for a flexible string; bending adds to w what clamping takes. Towards the resonance of
// the mass on its stretch the shift grows without bounds, and is cut short.
func (bu burden) rocking(n int, a, b float64) float64 {
	const (
		nearest = 0.7  // of the resonance's k²
		softest = 4e-6 // a B below which bending is not told
	)
	side := 1.0
	if n%2 == 1 {
		side = -1
	}
	m := float64(n)
	cos, _ := cosRoot(4 * math.Pi * math.Pi * m * m * bu.off2)
	slope2 := (1 + side*cos) / 2
	w := max(bu.wide, 0) + 2/math.Pi*math.Sqrt(b+softest)
	k := func(inertia float64) float64 {
		k := math.Pi * a
		for range 6 { // kl = nπ/2 - ε
			k = math.Pi*a - 2*math.Atan(w*k/(2*(1-min(inertia*k*k/w, nearest)))) + k*w
		}
		return k
	}
	return max(slope2, 0) * (1 - k(bu.turn*bu.ratio)/k(0))
}

// cosRoot is cos √x, carried on smoothly to negative x, and its derivative by x.
func cosRoot(x float64) (cos, slope float64) {
	switch r := math.Sqrt(math.Abs(x)); {
	case r < 1e-6:
		return 1 - x/2, -0.5
	case x < 0:
		e := math.Exp(r)
		return (e + 1/e) / 2, -(e - 1/e) / (4 * r)
	default:
		s, c := math.Sincos(r)
		return c, -s / (2 * r)
	}
}
