package physics

import (
	"cmp"
	"math"
	"slices"
)

// A Strength is the least stress at which a wire of a standard breaks when it is
// new, straight and pulled slowly.
type Strength struct {
	Standard string
	Least    Pressure
	rule     func(d Length) Pressure // what Least comes from, by the diameter
}

// a wireRule gives the least tensile strength of wires of one material.
type wireRule struct {
	material, standard string
	thinnest, thickest Length // it is published for these
	least              func(d Length) Pressure
}

// holds tells whether the rule is for a wire of a material and diameter.
func (r *wireRule) holds(material string, d Length) bool {
	return r.material == material && d >= r.thinnest && d <= r.thickest
}

// Shigley's Mechanical Engineering Design, table 10-4, estimates the least strength
// of spring wire as A/d^m (from memory). For music wire that lies 0.9 to 2.0 % above
// what ASTM A228 tabulates, so 0.98 of it is taken, of the others alike.
func shigley(a, m float64) func(Length) Pressure {
	return func(d Length) Pressure { return Pressure(0.98*a/math.Pow(d.In(Millimetre), m)) * Megapascal }
}

var wireRules = []wireRule{
	// The formula behind the standard's table, which is rounded to 10 MPa.
	{"music wire", "EN 10270-1, grade SM", 0.30 * Millimetre, 20 * Millimetre,
		func(d Length) Pressure { return Pressure(1980-740*math.Log10(d.In(Millimetre))) * Megapascal }},
	{"music wire", "ASTM A228", 0.10 * Millimetre, 6.5 * Millimetre, shigley(2211, 0.145)},
	{"stainless 302", "ASTM A313", 0.30 * Millimetre, 2.5 * Millimetre, shigley(1867, 0.146)},
	{"phosphor bronze", "ASTM B159, spring temper", 0.10 * Millimetre, 0.6 * Millimetre, shigley(1000, 0)},
}

// Strengths lists the least strengths of the standards that the core's wire may
// have been made to, the lowest first. A hexagonal core counts as the round wire of
// the same section. The error, an *InputError, says why none is known.
func (c Core) Strengths() ([]Strength, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	d := c.Shape.round(float64(c.Size.Value))
	var out []Strength
	var ranges []string
	for i := range wireRules {
		r := &wireRules[i]
		switch {
		case r.holds(c.Of.Name, d):
			out = append(out, Strength{r.standard, r.least(d), r.least})
		case r.material == c.Of.Name:
			ranges = append(ranges, r.standard+" from "+Format(r.thinnest, 0, 3)+" to "+Format(r.thickest, 0, 3))
		}
	}
	slices.SortFunc(out, func(a, b Strength) int { return cmp.Compare(a.Least, b.Least) })
	switch {
	case len(out) > 0:
		return out, nil
	case len(ranges) > 0:
		return nil, &InputError{What: "strength of " + c.Of.Name, Why: "is not published for a wire of " + Format(d, 0, 3),
			Fix: "known are " + join(ranges)}
	}
	return nil, &InputError{What: "strength of " + c.Of.Name, Why: "is not known",
		Fix: "ask the string's maker at what pull it breaks"}
}

// round is the diameter of the round wire that has the section of one of this shape
// and size.
func (s Shape) round(size float64) Length { return Length(size * math.Sqrt(s.area()/(math.Pi/4))) }
