package physics

import "math"

// Coverage is the coverage factor k of expanded uncertainties where none is
// named: about 95 % for a normal distribution.
const Coverage = 2

// A Measured quantity is a value with its standard uncertainty (k = 1).
type Measured[Q Quantity] struct {
	Value, U Q
	// Assumed marks an uncertainty that nobody stated: a documented default.
	Assumed bool
	// DoF is the degrees of freedom of U; 0 for as many as one likes, as of an
	// uncertainty that was stated and not estimated from scatter (Type B).
	DoF float64
	// Unit is the unit it is printed in, that which it was typed in if any;
	// zero for the usual one.
	Unit Q
	// From says where it comes from, for a person; may be empty.
	From string
}

// Stated is a value whose standard uncertainty somebody stated or measured.
func Stated[Q Quantity](value, u Q) Measured[Q] {
	return Measured[Q]{Value: value, U: u}
}

// As is the same quantity, printed in another unit, such as PoundForce.
func (m Measured[Q]) As(unit Q) Measured[Q] {
	m.Unit = unit
	return m
}

// Relative is the standard uncertainty as a fraction of the value.
func (m Measured[Q]) Relative() float64 { return float64(m.U / m.Value) }

// Significant tells whether the value differs from zero by more than its expanded
// uncertainty.
func (m Measured[Q]) Significant() bool { return math.Abs(float64(m.Value)) > Coverage*float64(m.U) }

// check says whether the quantity can be computed with: positive, finite, its
// uncertainty known.
func (m Measured[Q]) check(what string) error {
	if err := checkPositive(what, float64(m.Value)); err != nil {
		return err
	}
	if err := checkDoF(what, m.DoF); err != nil {
		return err
	}
	return checkU(what, float64(m.U))
}
