package physics

import "math"

// What follows of a core without an account of its uncertainty: plain arithmetic on
// what was checked before, for whoever has a hundred thousand strings.

// EI is the bending stiffness that Stiffness gives.
func (c Core) EI() BendingStiffness {
	d := float64(c.Size.Value)
	return BendingStiffness(float64(c.Of.Modulus.Value) * c.Shape.moment() * (d * d) * (d * d))
}

// EA is the axial stiffness that Axial gives.
func (c Core) EA() Force {
	d := float64(c.Size.Value)
	return Force(float64(c.Of.Modulus.Value) * c.Shape.area() * d * d)
}

// Breaks is the least pull at which the core breaks, by the lowest of its Strengths;
// ok is false where none is known.
func (c Core) Breaks() (pull Force, ok bool) {
	d := c.Shape.round(float64(c.Size.Value))
	least := Pressure(math.Inf(1))
	for i := range wireRules {
		if r := &wireRules[i]; r.holds(c.Of.Name, d) {
			least, ok = min(least, r.least(d)), true
		}
	}
	if !ok {
		return 0, false
	}
	size := float64(c.Size.Value)
	return Force(c.Shape.area() * size * size * float64(least)), true
}
