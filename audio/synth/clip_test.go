package synth

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
)

// loaded returns a string with a clip of a share of its mass.
func loaded(f0, b, ratio, at float64) String {
	s := FromPitch(f0, b)
	s.Clip = Clip{ratio * s.UnitWeight * s.Length, at}
	return s
}

var loadedStrings = []String{
	loaded(55, 1e-3, 0.05, 0.5), loaded(110, 4e-4, 0.12, 0.4968), loaded(82.4, 3e-3, 0.33, 0.51), loaded(196, 1e-3, 0.08, 0.31),
}

// The corner at the clip is the rounder, and the fewer polynomials make it, the
// stiffer the string.
func TestLoadedPartialsAgainstEigenproblem(t *testing.T) {
	for _, s := range []String{loaded(55, 0.01, 0.05, 0.5), loaded(110, 0.02, 0.12, 0.4968), loaded(196, 0.01, 0.08, 0.31), loaded(82.4, 0.05, 0.33, 0.51)} {
		coarse, fine := ritz(s, 100, 12), ritz(s, 200, 12)
		for i := range fine {
			f := fine[i] + (fine[i]-coarse[i])/7 // what is left falls with the cube of the size
			if d := cents(s.Partial(i+1), f); math.Abs(d) > 2e-3 {
				t.Errorf("B %g, ratio %g at %g, partial %d: %g Hz, %g Hz by the eigenproblem (%.4f cents)",
					s.B(), s.ratio(), s.Clip.At, i+1, s.Partial(i+1), f, d)
			}
		}
	}
}

// Modes of one string are orthogonal over its mass, the clip's included.
func TestLoadedModesAreOrthogonal(t *testing.T) {
	for _, s := range append(loadedStrings, loaded(110, 0, 0.1, 0.47)) {
		for i := 1; i <= 12; i++ {
			for j := i; j <= 12; j++ {
				f, g := s.form(i), s.form(j)
				both := func(x float64) float64 { return f.at(x) * g.at(x) }
				p := s.Clip.At
				got := 2 * (quad.Fixed(both, 0, p, 100, nil, 0) + quad.Fixed(both, p, 1, 100, nil, 0) + s.ratio()*both(p))
				want := 0.0
				if i == j {
					want = f.mass
				}
				if math.Abs(got-want) > 1e-9*math.Sqrt(f.mass*g.mass) {
					t.Errorf("B %g, ratio %g at %g: modes %d and %d have %g in common, want %g", s.B(), s.ratio(), p, i, j, got, want)
				}
			}
		}
	}
}

// A clip does not change the shape in which the string is held before it is let go,
// of whatever modes that is made.
func TestClipLeavesTheStaticShape(t *testing.T) {
	const count = 600
	for _, s := range append(loadedStrings, loaded(110, 0, 0.1, 0.47)) {
		p := Pluck{Height: 1e-3, Point: 0.17, Width: 0.02}
		with, without := p.Deflection(s, count), p.Deflection(s.bare(), count)
		for x := 0.05; x < 1; x += 0.1 {
			var got, want float64
			for n := 1; n <= count; n++ {
				got += with[n-1] * s.form(n).at(x)
				want += without[n-1] * shape(n, x)
			}
			if math.Abs(got-want) > 2e-5*p.Height {
				t.Errorf("B %g, ratio %g at %g: %g m at %.2f, want %g", s.B(), s.ratio(), s.Clip.At, got, x, want)
			}
		}
	}
}

// The force at the bridge is the slope's and the third derivative's there.
func TestLoadedBridgeForce(t *testing.T) {
	for _, s := range loadedStrings {
		for n := 1; n <= 8; n++ {
			f := s.form(n)
			const h = 1e-3
			y := func(k float64) float64 { return f.at(k * h) }
			slope := (8*y(1) - y(2)) / (6 * h) // odd about the end, to fourth order
			third := (y(2) - 2*y(1)) / (h * h * h)
			want := slope - s.B()/(math.Pi*math.Pi)*third
			if got := f.bridge(s.B()); math.Abs(got-want) > 1e-4*math.Abs(want)+1e-4 {
				t.Errorf("B %g, ratio %g at %g, mode %d: %g, want %g", s.B(), s.ratio(), s.Clip.At, n, got, want)
			}
		}
	}
}
