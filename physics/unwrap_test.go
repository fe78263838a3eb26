package physics

import (
	"math"
	"strings"
	"testing"
)

// evidenceOf is what exact measurements of a build would give, of the relative
// standard uncertainties named; without stiffness where that is 0.
func evidenceOf(b Build, uWeight, uOutside, uStiffness float64) Evidence {
	stated := func(v, u float64) (value, uncertainty float64) { return v, u * v }
	e := Evidence{}
	v, u := stated(float64(must(b.UnitWeight()).Value), uWeight)
	e.UnitWeight = Stated(UnitWeight(v), UnitWeight(u))
	v, u = stated(float64(must(b.Outside()).Value), uOutside)
	e.Outside = Stated(Length(v), Length(u))
	if uStiffness > 0 {
		v, u = stated(float64(must(b.Core.Stiffness()).Value), uStiffness)
		e.Stiffness = Stated(BendingStiffness(v), BendingStiffness(u))
	}
	return e
}

// buildOf is the build of a family, of proportions and an outside diameter.
func buildOf(f family, p proportion, outside float64) Build {
	b := Build{Core: Core{f.shape, Stated(Length(p.core/f.shape.over()*outside), 0), f.parts[0]}}
	for i, m := range f.parts[1:] {
		b.Wraps = append(b.Wraps, Wrap{Wire: Stated(Length(p.wires(len(f.parts) - 1)[i]*outside), 0), Of: m})
	}
	return b
}

// The way back goes by the same physics as the way there.
func TestModelIsBuild(t *testing.T) {
	const outside = 1.7e-3
	for _, f := range (Known{}).families() {
		p := proportion{0.42, 0.37}
		if len(f.parts) == 1 {
			p.core = 1
		}
		b := buildOf(f, p, outside)
		m := f.at(p)
		w := must(b.UnitWeight())
		if got := m.weight * outside * outside; math.Abs(got/float64(w.Value)-1) > 1e-12 {
			t.Fatalf("%+v weighs %v, not %v", b, got, w.Value)
		}
		if got := math.Sqrt(m.v); math.Abs(got/w.Relative()-1) > 1e-12 {
			t.Fatalf("%+v is known to %v, not %v", b, got, w.Relative())
		}
		if got, want := f.stiffness(p)*math.Pow(outside, 4), float64(must(b.Core.Stiffness()).Value); math.Abs(got/want-1) > 1e-12 {
			t.Fatalf("%+v has EI %v, not %v", b, got, want)
		}
		if got := float64(must(b.Outside()).Value); math.Abs(got/outside-1) > 1e-12 {
			t.Fatalf("%+v has the outside %v", b, got)
		}
	}
	// An outer wrap at the pitch that goes with turns that touch is the same.
	for _, f := range (Known{Wraps: []int{1, 2}}).families() {
		p := proportion{0.42, 0.37}
		b := buildOf(f, p, outside)
		b.Wraps[len(b.Wraps)-1].Pitch = Stated(Length(f.pitch(p)*outside), 0)
		if got, want := float64(must(b.UnitWeight()).Value), f.at(p).weight*outside*outside; math.Abs(got/want-1) > 1e-12 {
			t.Fatalf("%+v weighs %v, not %v", b, got, want)
		}
	}
	sum := 0.0
	for _, f := range (Known{}).families() {
		sum += f.prior
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("the probabilities beforehand sum to %v", sum)
	}
}

// A plain string tells its material by its density.
func TestPlainMaterial(t *testing.T) {
	for _, name := range []string{"music wire", "phosphor bronze", "nylon", "gut", "fluorocarbon"} {
		m := of(t, name)
		e := evidenceOf(Build{Core: Core{Round, mm(0.7, 0), m}}, 0.002, 0.002, 0)
		e.Known.Wraps = []int{0}
		x := must(e.Builds())
		likely := 0.0
		for _, b := range x.Builds {
			if math.Abs(float64(b.CoreOf.Density.Value/m.Density.Value)-1) < 0.015 {
				likely += b.Probability
			}
		}
		if likely < 0.95 {
			t.Errorf("%s, or what weighs nearly as much, is given %.3f", name, likely)
		}
		if rho := must(e.Density()); math.Abs(float64(rho.Value/m.Density.Value)-1) > 1e-12 || math.Abs(rho.Relative()/math.Hypot(0.002, 0.004)-1) > 1e-9 {
			t.Errorf("%s has density %v", name, rho.Measured)
		}
	}
}

// What is measured besides narrows down what is left.
func TestEvidenceNarrows(t *testing.T) {
	steel, nickel := of(t, "steel"), of(t, "nickel-200")
	truth := Build{Core: Core{Hexagonal, mm(0.6, 0), steel}, Wraps: []Wrap{{Wire: mm(0.35, 0), Of: nickel}, {Wire: mm(0.4, 0), Of: nickel}}}
	plain := evidenceOf(truth, 0.002, 0.004, 0)
	stiff := evidenceOf(truth, 0.002, 0.004, 0.02)
	cored, pitched := stiff, stiff
	cored.Core, cored.Known.Shapes = mm(0.6, 0.003), []Shape{Hexagonal}
	for _, e := range []*Evidence{&plain, &stiff, &cored, &pitched} {
		e.Known.CoreOf, e.Known.WrapOf = []Material{steel, of(t, "stainless-302")}, []Material{nickel, of(t, "bronze-80/20")}
	}
	lean := 0.4 / (math.Pi * (0.6*2/math.Sqrt(3) + 0.7 + 0.4))
	pitched.Pitch = mm(0.4/math.Sqrt(1-lean*lean), 0.004)
	var tells []string
	for _, e := range []Evidence{plain, stiff, cored, pitched} {
		x := must(e.Builds())
		said := ""
		for _, test := range x.Tests {
			said += test.Of.String() + " "
		}
		tells = append(tells, said)
	}
	for i, want := range []string{"stiffness", "pitch", "pitch", "shape"} {
		if !strings.Contains(tells[i], want) {
			t.Errorf("evidence %d: tests %q, want %s", i, tells[i], want)
		}
	}
	if strings.Contains(tells[1], "stiffness") || strings.Contains(tells[2], "core") || strings.Contains(tells[3], "pitch") {
		t.Errorf("what is known is asked for: %q", tells)
	}
	width := func(e Evidence) float64 {
		for _, f := range must(e.Builds()).Forms {
			if len(f.Wraps) == 2 && f.Shape == Hexagonal {
				return float64(f.Wraps[1].Size.High - f.Wraps[1].Size.Low)
			}
		}
		return math.NaN()
	}
	if w := width(pitched); !(w < 0.1*width(stiff)) {
		t.Errorf("the outer wire is known to %v with its pitch, to %v without", w, width(stiff))
	}
	core := func(e Evidence) float64 { return float64(must(e.Builds()).Forms[0].Core.Size.U) }
	if a, b := core(plain), core(stiff); !(b < 0.1*a) {
		t.Errorf("the core is known to %v, with its stiffness to %v", a, b)
	}
	for _, f := range must(cored.Builds()).Forms {
		if f.Shape != Hexagonal {
			t.Errorf("a core known to be hexagonal may be %v", f.Shape)
		}
	}
}

// Whatever is passed in, there is an error or a finite answer, and no panic.
func TestBuildsOfAnything(t *testing.T) {
	values := []float64{0, -1, 1e-300, 1e-9, 1e-3, 1, 1e9, 1e300, math.MaxFloat64, math.Inf(1), math.NaN()}
	known := Known{CoreOf: []Material{of(t, "steel")}, WrapOf: []Material{of(t, "nickel-200")}}
	finite := func(s Span[Length]) bool {
		return s.Value > 0 && s.U >= 0 && s.Low > 0 && s.Low <= s.High && !math.IsInf(float64(s.High), 0)
	}
	try := func(e Evidence) {
		e.Known = known
		x, err := e.Builds()
		if err != nil {
			return
		}
		for _, b := range x.Builds {
			ok := finite(b.Core) && b.Probability >= 0 && b.Probability <= 1+1e-9
			for _, w := range b.Wraps {
				ok = ok && finite(w.Wire)
			}
			if !ok {
				t.Fatalf("%+v is explained by %v %v %v", e, b.Probability, b.Core, b.Wraps)
			}
		}
	}
	good := evidenceOf(Build{Core: Core{Round, mm(0.5, 0), known.CoreOf[0]}, Wraps: []Wrap{{Wire: mm(0.4, 0), Of: known.WrapOf[0]}}}, 0.002, 0.004, 0.02)
	for _, v := range values {
		for _, u := range values {
			for i := range 5 {
				e := good
				switch i {
				case 0:
					e.UnitWeight = Stated(UnitWeight(v), UnitWeight(u))
				case 1:
					e.Outside = Stated(Length(v), Length(u))
				case 2:
					e.Stiffness = Stated(BendingStiffness(v), BendingStiffness(u))
				case 3:
					e.Core = Stated(Length(v), Length(u))
				case 4:
					e.Pitch = Stated(Length(v), Length(u))
				}
				try(e)
			}
			e := Evidence{UnitWeight: Stated(UnitWeight(v), UnitWeight(u)), Outside: Stated(Length(v), Length(u))}
			e.Stiffness, e.Correlation = Stated(BendingStiffness(v), BendingStiffness(u)), 1
			try(e)
		}
	}
	// Known exactly, as nothing is: 0.4 mm of steel, and a wrap.
	for _, e := range []Evidence{good, evidenceOf(Build{Core: Core{Round, mm(0.4, 0), known.CoreOf[0]}}, 0, 0, 0)} {
		e.UnitWeight.U, e.Outside.U, e.Stiffness.U = 0, 0, 0
		try(e)
		e.Correlation = 1
		try(e)
	}
}

func BenchmarkBuilds(b *testing.B) {
	truth := Build{Core: Core{Hexagonal, mm(0.5, 0), of(b, "steel")}, Wraps: []Wrap{{Wire: mm(0.45, 0), Of: of(b, "nickel-200")}}}
	for name, u := range map[string]float64{"stiff": 0.02, "without": 0} {
		e := evidenceOf(truth, 0.002, 0.004, u)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				must(e.Builds())
			}
		})
	}
}
