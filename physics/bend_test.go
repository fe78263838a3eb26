package physics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// springs is an elastic string between two points, pulled aside at its middle: two
// straight springs of natural length l0/2, energy by Hooke's law. Nothing of it is
// shared with what is tested.
type springs struct{ l, l0, ea, mass float64 }

// like is the string s, with the axial stiffness of its stretched length.
func like(s Strung, mu float64) springs {
	ea := float64(must(s.Core.Axial()).Value)
	t, l := float64(s.Pull.Value), float64(s.Length.Value)
	// EA of the natural length l0 is that of the stretched one times l0/l:
	// T = EA0 (l−l0)/l0 = EA (l−l0)/l.
	l0 := l - t*l/ea
	return springs{l: l, l0: l0, ea: ea * l0 / l, mass: mu * l}
}

func (s springs) half(d float64) float64 { return math.Hypot(s.l/2, d) }
func (s springs) energy(d float64) float64 {
	x := s.half(d) - s.l0/2
	return 2 * s.ea / (s.l0 / 2) * x * x / 2
}
func (s springs) pull(d float64) float64 { return s.ea * (2*s.half(d) - s.l0) / s.l0 }

// side is the force against the motion, by the energy's slope.
func (s springs) side(d float64) float64 {
	h := 1e-6 * s.l
	return (s.energy(d+h) - s.energy(d-h)) / (2 * h)
}

// pitch is the lowest frequency of one half as a chain of masses, in arbitrary units.
func (s springs) pitch(d float64) float64 {
	const n = 60
	apart, m := s.half(d)/(n+1), s.mass/2/(n+1)
	k := mat.NewSymDense(n, nil)
	for i := range n {
		k.SetSym(i, i, 2*s.pull(d)/apart/m)
		if i > 0 {
			k.SetSym(i, i-1, -s.pull(d)/apart/m)
		}
	}
	var e mat.EigenSym
	e.Factorize(k, false)
	return math.Sqrt(e.Values(nil)[0])
}

func TestDeflectionAgainstSprings(t *testing.T) {
	nylon := guitarE()
	nylon.Pull.Value, nylon.Core = 55, Core{Size: Stated(0.7*Millimetre, 0), Of: must(ParseMaterial("nylon"))}
	wound := guitarE()
	wound.Length, wound.Pull.Value, wound.Core.Size.Value = Stated[Length](0.8636, 0), 163.2, 0.53*Millimetre
	for name, s := range map[string]Strung{"plain": guitarE(), "nylon": nylon, "wound": wound} {
		direct := like(s, 4e-4)
		for _, depth := range []float64{0.05e-3, 1e-3, 5e-3, 20e-3, 60e-3} {
			d := must(s.Pushed(Stated(Length(depth), 0)))
			cents := 1200 * math.Log2(direct.pitch(depth)/direct.pitch(0))
			for _, c := range []struct {
				what      string
				got, want float64
			}{
				{"pull", float64(d.Pull.Value), direct.pull(depth)},
				{"side force", float64(d.Side.Value), direct.side(depth)},
				{"raise", float64(d.Raise.Value), cents},
				{"stretch", float64(d.Stretch.Value), 2*direct.half(depth)/direct.l - 1},
				{"depth", float64(d.Depth.Value), depth},
			} {
				if math.Abs(c.got/c.want-1) > 2e-6 {
					t.Errorf("%s pushed by %v mm: %s %v, springs say %v", name, depth*1e3, c.what, c.got, c.want)
				}
			}
			// Five points, so that steps can be wide against the rounding of eigenvalues.
			h := depth / 30
			rise := func(steps float64) float64 {
				return 1200 * math.Log2(direct.pitch(depth+steps*h)/direct.pitch(depth-steps*h))
			}
			slope := (8*rise(1) - rise(2)) / (12 * h)
			if math.Abs(float64(d.Sharpness.Value)/slope-1) > 1e-5 {
				t.Errorf("%s pushed by %v mm: sharpness %v, springs say %v", name, depth*1e3, d.Sharpness.Value, slope)
			}
		}
	}
}

// Bent by what a push raises it, a string lies where it was pushed.
func TestBentIsPushed(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		s := randomStrung(r)
		depth := Length(float64(s.Length.Value) * math.Exp(-7+5*r.Float64()))
		pushed, err := s.Pushed(Stated(depth, 0))
		if err != nil {
			t.Fatal(err)
		}
		bent, err := s.Bent(Stated(pushed.Raise.Value, 0))
		if err != nil {
			t.Fatalf("%+v by %v cents: %v", s, pushed.Raise.Value, err)
		}
		for _, c := range [][2]float64{
			{float64(bent.Depth.Value), float64(depth)}, {float64(bent.Side.Value), float64(pushed.Side.Value)},
			{float64(bent.Pull.Value), float64(pushed.Pull.Value)}, {float64(bent.Sharpness.Value), float64(pushed.Sharpness.Value)},
		} {
			if math.Abs(c[0]/c[1]-1) > 1e-6 {
				t.Fatalf("%+v: bent %+v, pushed %+v", s, bent, pushed)
			}
		}
		// A stiffer core bends further for less depth, and pushes back harder.
		stiffer := s
		stiffer.Core.Of.Modulus.Value *= 1.5
		other, err := stiffer.Bent(Stated(pushed.Raise.Value, 0))
		if err != nil || !(other.Depth.Value < bent.Depth.Value && other.Side.Value < bent.Side.Value) {
			t.Fatalf("stiffer core: %v, %+v, was %+v", err, other, bent)
		}
	}
}

// For a small push, F = 4Td/L + 8EAd³/L³, and what is left out goes with d².
func TestSmallPush(t *testing.T) {
	s := guitarE()
	tension, ea, l := float64(s.Pull.Value), float64(must(s.Core.Axial()).Value), float64(s.Length.Value)
	for _, d := range []float64{0.1e-3, 1e-3, 3e-3} {
		got := float64(must(s.Pushed(Stated(Length(d), 0))).Side.Value)
		want := 4*tension*d/l + 8*ea*d*d*d/(l*l*l)
		if math.Abs(got/want-1) > 8*d*d/(l*l) {
			t.Errorf("push of %v mm: %v N, expansion %v", d*1e3, got, want)
		}
	}
	if k := float64(must(s.SideStiffness()).Value); math.Abs(k/(4*tension/l)-1) > 1e-12 {
		t.Errorf("side stiffness %v", k)
	}
}

func randomStrung(r *rand.Rand) Strung {
	between := func(a, b float64) float64 { return a * math.Pow(b/a, r.Float64()) }
	list := Materials()
	c := Core{Size: Stated(Length(between(0.15e-3, 1.2e-3)), 0), Of: list[r.IntN(len(list))]}
	if r.IntN(2) == 0 {
		c.Shape = Hexagonal
	}
	strain := between(5e-4, 0.05)
	return Strung{
		Length: Stated(Length(between(0.1, 2)), 0),
		Pull:   Result[Force]{Measured: Stated(Force(strain)*must(c.Axial()).Value, 0)},
		Core:   c,
	}
}

func TestBendRefusals(t *testing.T) {
	s := guitarE()
	for name, err := range map[string]error{
		"too far":  second(s.Pushed(Stated[Length](0.2, 0))),
		"no bend":  second(s.Bent(Stated[PitchInterval](0, 0))),
		"downward": second(s.Bent(Stated[PitchInterval](-100, 0))),
		"endless":  second(s.Bent(Stated(PitchInterval(math.Inf(1)), 0))),
		"no sense": second(s.Bent(Stated(PitchInterval(math.NaN()), 0))),
		"too wide": second(s.Bent(Stated[PitchInterval](1e6, 0))),
		"no depth": second(s.Pushed(Measured[Length]{})),
	} {
		if err == nil {
			t.Errorf("%s: passes", name)
		}
	}
	soft := s
	soft.Core.Of = must(ParseMaterial("nylon")) // 1.4 GPa on 2.7
	if d, err := soft.Bent(Stated[PitchInterval](100, 0)); err == nil {
		t.Errorf("a core stretched by half bends by %v", d.Depth.Value)
	}
	for _, bad := range []Strung{{}, {Length: s.Length, Pull: s.Pull}, {Length: s.Length, Core: s.Core}, {Pull: s.Pull, Core: s.Core}} {
		if d, err := bad.Bent(Stated[PitchInterval](100, 0)); err == nil || d.Depth.Value != 0 {
			t.Errorf("%+v: %v, %v", bad, d.Depth, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
