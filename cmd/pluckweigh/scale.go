package main

import (
	"errors"
	"time"

	"github.com/spf13/pflag"

	"pluckweigh/calib"
	"pluckweigh/physics"
)

// A scale is a flag that takes a speaking length, or the name of one that was
// calibrated. That contains what the ends do, which then count as pinned.
type scale struct {
	quantity[physics.Length]
	held *ends
}

// addScale adds --scale and --ends.
func addScale(f *pflag.FlagSet, held *ends) *scale {
	v := &scale{quantity[physics.Length]{role: physics.SpeakingLength}, held}
	f.Var(v, "scale", "speaking length, like 34in or 863.6mm±0.5mm, or the name of a calibrated one")
	f.Var(held, "ends", "how the string is held: unknown, pinned or clamped")
	return v
}

func (v *scale) Set(s string) error {
	if !named(s) {
		return v.quantity.Set(s)
	}
	all, err := kept()
	if err != nil {
		return err
	}
	e, err := calib.LengthNamed(all, s, time.Now())
	var input *physics.InputError
	if errors.As(err, &input) {
		input.Fix += "; a length itself is written like 34in"
	}
	if err != nil {
		return err
	}
	v.Measured, v.text, v.given = e.Length(), s, true
	return v.held.contained()
}
