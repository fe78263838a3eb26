package calib

import (
	"strings"

	"pluckweigh/physics"
)

// A Friction is a force by which a string pulls less than its load, and its standard
// uncertainty, which may be the larger of the two.
type Friction struct{ Value, U physics.Force }

// mostFriction is beyond what any rig that is of use takes away.
const mostFriction = 50 * physics.Newton

// ParseFriction reads "1.2N±0.3N", "0N±0.3N", "-1.2N±0.3N", or "±0.3N" where only
// the size is known. The error is an *physics.InputError.
func ParseFriction(s string) (Friction, error) {
	refuse := func(why string) (Friction, error) {
		return Friction{}, &physics.InputError{What: "friction", Text: s, Why: why,
			Fix: "write it like ±0.3N where only its size is known, or 1.2N±0.3N"}
	}
	value, u, stated := physics.CutTolerance(s)
	if !stated {
		return refuse("has no uncertainty")
	}
	var f Friction
	var err error
	if f.U, err = physics.Parse[physics.Force](u); err != nil {
		return Friction{}, err
	}
	minus := false
	for _, sign := range []string{"-", "−"} {
		var cut bool
		value, cut = strings.CutPrefix(value, sign)
		minus = minus || cut
	}
	switch unit := strings.TrimLeft(value, "0."); {
	case value == "":
	case unit != value && (unit == "" || unit[0] > '9'): // zero, which no other force may be
		_, err = physics.Parse[physics.Force]("1" + unit)
	default:
		f.Value, err = physics.Parse[physics.Force](value)
	}
	if err != nil {
		return Friction{}, err
	}
	if f.Value > mostFriction || f.U > mostFriction {
		return refuse("is more than any rig of use has")
	}
	if minus {
		f.Value = -f.Value
	}
	return f, nil
}
