package physics

import "math"

// A PlainWire is a round wire without wrap.
type PlainWire struct {
	Gauge   Measured[Length] // diameter
	Density Measured[Density]
}

// UnitWeight is ρπd²/4. Terms of the budget: "gauge", "density". The error is an
// *InputError.
func (p PlainWire) UnitWeight() (Result[UnitWeight], error) {
	if err := p.Gauge.check(string(Gauge)); err != nil {
		return Result[UnitWeight]{}, err
	}
	if err := p.Density.check("density"); err != nil {
		return Result[UnitWeight]{}, err
	}
	d := float64(p.Gauge.Value)
	w := float64(p.Density.Value) * math.Pi / 4 * d * d
	r, err := conclude("unit weight", UnitWeight(w), weightUnitOf(p.Gauge.Unit),
		power(string(Gauge), p.Gauge, w, 2), power("density", p.Density, w, 1))
	if err == nil {
		r.Model = Model{
			Inputs: []Input{Gauge.input(p.Gauge), Role[Density]("density").input(p.Density)},
			F:      func(x []float64) float64 { return x[1] * math.Pi / 4 * x[0] * x[0] },
		}
	}
	return r, err
}

// A Cut is a length of string on a balance.
type Cut struct {
	Mass   Measured[Mass]
	Length Measured[Length]
}

// UnitWeight is mass over length. Terms of the budget: "mass of the cut",
// "length of the cut". The error is an *InputError.
func (c Cut) UnitWeight() (Result[UnitWeight], error) {
	if err := c.Mass.check(string(CutMass)); err != nil {
		return Result[UnitWeight]{}, err
	}
	if err := c.Length.check(string(CutLength)); err != nil {
		return Result[UnitWeight]{}, err
	}
	w := float64(c.Mass.Value) / float64(c.Length.Value)
	r, err := conclude("unit weight", UnitWeight(w), weightUnitOf(c.Length.Unit),
		power(string(CutMass), c.Mass, w, 1), power(string(CutLength), c.Length, w, -1))
	if err == nil {
		r.Model = Model{
			Inputs: []Input{CutMass.input(c.Mass), CutLength.input(c.Length)},
			F:      func(x []float64) float64 { return x[0] / x[1] },
		}
	}
	return r, err
}

// weightUnitOf is the unit weight's unit that goes with the length's.
func weightUnitOf(l Length) UnitWeight {
	switch l {
	case Inch, Thou, Foot:
		return PoundPerInch
	}
	return GramPerMetre
}
