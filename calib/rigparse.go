package calib

import (
	"strings"

	"pluckweigh/physics"
)

// A Friction is a force by which a string pulls less than its load, and its standard
// uncertainty, which may be the larger of the two.
type Friction struct {
	Value, U physics.Force
	Mass     string // as it was typed, where it was a mass that weighs so much; empty for a force
}

// mostFriction is beyond what any rig that is of use takes away.
const mostFriction = 50 * physics.Newton

// ParseFriction reads "1.2N±0.3N", "1.2N±20%", "0N±0.3N", "-1.2N±0.3N" where the string
// pulls more than the load, or "±0.3N" where only the size is known. A mass, as in
// "120g±30g", stands for what it weighs in standard gravity. The error is an
// *physics.InputError.
func ParseFriction(s string) (Friction, error) {
	refuse := func(why, like string) (Friction, error) {
		return Friction{}, &physics.InputError{What: "friction", Text: s, Why: why, Fix: "write it like " + like}
	}
	const usual = "±0.3N where only its size is known, or 1.2N±0.3N"
	value, u, stated := physics.CutTolerance(strings.TrimSpace(s))
	sign, minus := "", false
	for _, mark := range []string{"-", "−"} {
		if rest, cut := strings.CutPrefix(value, mark); cut {
			value, sign, minus = rest, "-", true
		}
	}
	if !stated {
		if f, _, err := weight(value); err == nil && f > 0 {
			return refuse("has no uncertainty", sign+value+"±10%, or as it is known"+moreThanTheLoad(minus))
		}
		return refuse("has no uncertainty", usual)
	}
	var f Friction
	var err error
	var mass, massU bool
	switch unit := strings.TrimLeft(value, "0."); {
	case value == "":
	case unit != value && (unit == "" || unit[0] > '9'): // zero, which no other force may be
		_, mass, err = weight("1" + unit)
	default:
		f.Value, mass, err = weight(value)
	}
	if err != nil {
		return Friction{}, err
	}
	if part, percent := strings.CutSuffix(u, "%"); percent && f.Value > 0 {
		var r physics.Relative
		if r, err = physics.ParseRelative("friction", part+"%"); err == nil {
			f.U = physics.Force(r.U) * f.Value
		}
	} else {
		f.U, massU, err = weight(u)
	}
	if err != nil {
		return Friction{}, err
	}
	if f.Value > mostFriction || f.U > mostFriction {
		return refuse("is more than any rig of use has", usual)
	}
	if mass || massU {
		f.Mass = s
	}
	if minus {
		f.Value = -f.Value
	}
	return f, nil
}

func moreThanTheLoad(minus bool) string {
	if minus {
		return "; below zero, the string pulls more than the load"
	}
	return ""
}

// weight reads a force, or a mass for what it weighs in standard gravity.
func weight(s string) (f physics.Force, mass bool, err error) {
	if m, err := physics.Parse[physics.Mass](s); err == nil {
		return physics.Force(float64(m) * physics.StandardGravity), true, nil
	}
	f, err = physics.Parse[physics.Force](s)
	return f, false, err
}
