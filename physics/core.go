package physics

import "math"

// A Shape is the cross-section of a core.
type Shape int

const (
	Round     Shape = iota
	Hexagonal       // regular, its corners sharp
)

// String names the shape in a word.
func (s Shape) String() string {
	switch s {
	case Round:
		return "round"
	case Hexagonal:
		return "hexagonal"
	}
	return "no shape"
}

// ParseShape reads "round", "hexagonal" or "hex".
func ParseShape(s string) (Shape, error) {
	switch s {
	case Round.String():
		return Round, nil
	case Hexagonal.String(), "hex":
		return Hexagonal, nil
	}
	return 0, &InputError{"shape of the core", s, "is not known", "write round or hexagonal"}
}

// area is the cross-section over the square of the size: π/4 of a circle, √3/2
// of a hexagon across its flats.
func (s Shape) area() float64 {
	if s == Hexagonal {
		return math.Sqrt(3) / 2
	}
	return math.Pi / 4
}

// moment is the second moment of area over the fourth power of the size: π/64 of
// a circle; 5√3/144 of a hexagon across its flats, about any axis.
func (s Shape) moment() float64 {
	if s == Hexagonal {
		return 5 * math.Sqrt(3) / 144
	}
	return math.Pi / 64
}

// over is the diameter of the circle around the section, over its size.
func (s Shape) over() float64 {
	if s == Hexagonal {
		return 2 / math.Sqrt(3)
	}
	return 1
}

// seat is the diameter of the circle that a wrap's turns are as long as, over the size,
// and its standard uncertainty. On a hexagon they may keep round over the corners, or
// be drawn tight along the flats, as long as on a circle of its perimeter, 2√3/π:
// anywhere between the two is taken for equally likely, the value half-way (JCGM
// 100:2008, 4.3.7).
func (s Shape) seat() (at, u float64) {
	if s != Hexagonal {
		return 1, 0
	}
	tight := 2 * math.Sqrt(3) / math.Pi
	return (s.over() + tight) / 2, (s.over() - tight) / 2 / math.Sqrt(3)
}

// A Core is the wire in the middle of a string; of a plain string it is all.
type Core struct {
	Shape Shape
	Size  Measured[Length] // diameter, or across the flats of a hexagonal one
	Of    Material
}

// Stiffness is the bending stiffness E·I of the core. Wraps are taken to add
// nothing to it: their turns lie beside each other and are free to slide. Terms
// of the budget: "core", "modulus of" the material. The error is an *InputError.
func (c Core) Stiffness() (Result[BendingStiffness], error) {
	if err := c.check(); err != nil {
		return Result[BendingStiffness]{}, err
	}
	ei := func(x []float64) float64 { return x[1] * c.Shape.moment() * math.Pow(x[0], 4) }
	return stiffnessOf[BendingStiffness](c, "bending stiffness", ei, 4)
}

// Axial is the axial stiffness E·A of the core: the force that would stretch it
// to twice its length if it stayed elastic. Terms as in Stiffness.
func (c Core) Axial() (Result[Force], error) {
	if err := c.check(); err != nil {
		return Result[Force]{}, err
	}
	ea := func(x []float64) float64 { return x[1] * c.Shape.area() * x[0] * x[0] }
	return stiffnessOf[Force](c, "axial stiffness", ea, 2)
}

// stiffnessOf is a stiffness by a law of the core's size, with a power of which it goes,
// and of its modulus.
func stiffnessOf[Q Quantity](c Core, what string, law func(x []float64) float64, exponent float64) (Result[Q], error) {
	modulus := "modulus of " + c.Of.Name
	v := law([]float64{float64(c.Size.Value), float64(c.Of.Modulus.Value)})
	r, err := conclude(what, Q(v), 0, power(string(CoreSize), c.Size, v, exponent), power(modulus, c.Of.Modulus, v, 1))
	if err == nil {
		r.Model = Model{Inputs: []Input{CoreSize.input(c.Size), Role[Pressure](modulus).input(c.Of.Modulus)}, F: law}
	}
	return r, err
}

func (c Core) check() error {
	if c.Shape != Round && c.Shape != Hexagonal {
		return &InputError{What: "shape of the core", Why: "is not one of those known", Fix: "use Round or Hexagonal"}
	}
	if err := c.Size.check(string(CoreSize)); err != nil {
		return err
	}
	if err := c.Of.Density.check("density of the core"); err != nil {
		return err
	}
	return c.Of.Modulus.check("modulus of the core")
}
