package physics

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
)

// The hexagon from its geometry: six triangles of equal sides, by quadrature.
func TestShapes(t *testing.T) {
	width := func(y float64) float64 { // of a hexagon 1 across flats, flats above and below
		return 2 * (1/math.Sqrt(3) - math.Abs(y)/math.Sqrt(3))
	}
	area := quad.Fixed(width, 0, 0.5, 40, nil, 0) * 2
	moment := quad.Fixed(func(y float64) float64 { return y * y * width(y) }, 0, 0.5, 40, nil, 0) * 2
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"area of a hexagon", Hexagonal.area(), area},
		{"second moment of a hexagon", Hexagonal.moment(), moment},
		{"across corners", Hexagonal.over(), width(0)},
		{"area of a circle", Round.area(), math.Pi / 4},
		{"second moment of a circle", Round.moment(), float64(RoundStiffness(1, 1))},
		// The figures usually printed, from memory.
		{"area of a hexagon, printed", math.Round(Hexagonal.area()*1e4) / 1e4, 0.8660},
		{"second moment of a hexagon, printed", math.Round(Hexagonal.moment()*1e4) / 1e4, 0.0601},
	} {
		if math.Abs(c.got/c.want-1) > 1e-12 {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
	for _, s := range []Shape{Round, Hexagonal} {
		if got := must(ParseShape(s.String())); got != s {
			t.Errorf("%v is read as %v", s, got)
		}
	}
	if _, err := ParseShape("square"); err == nil {
		t.Error("a square core is one")
	}
}

func TestCoreStiffness(t *testing.T) {
	steel := of(t, "steel")
	// The core of about 0.53 mm whose E·I is 7.6e-4 N·m², by hand: 206e9·π/64·0.53e-3⁴
	// is 7.98e-4.
	ei := must(Core{Round, mm(0.53, 0.005), steel}.Stiffness())
	if math.Abs(float64(ei.Value)/7.979e-4-1) > 1e-3 {
		t.Errorf("EI %v", ei.Value)
	}
	if want := math.Hypot(4*0.005/0.53, 6.0/206); math.Abs(ei.Relative()/want-1) > 1e-9 {
		t.Errorf("EI is known to %v, want %v", ei.Relative(), want)
	}
	ea := must(Core{Hexagonal, mm(0.5, 0.005), steel}.Axial())
	if want := 206e9 * 0.8660254 * 0.25e-6; math.Abs(float64(ea.Value)/want-1) > 1e-6 {
		t.Errorf("EA %v, want %v", ea.Value, want)
	}
	if want := math.Hypot(2*0.005/0.5, 6.0/206); math.Abs(ea.Relative()/want-1) > 1e-9 {
		t.Errorf("EA is known to %v, want %v", ea.Relative(), want)
	}
}
