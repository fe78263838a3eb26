package main

import (
	"time"

	"github.com/spf13/pflag"

	"pluckweigh/calib"
	"pluckweigh/physics"
)

// Flags that say what loads a string, and how to know that better.

const (
	gravityProposal = "name the latitude of the place, as in --gravity 52°, or its gravity, as in --gravity 9.812m/s2±0.001m/s2"
	weightsProposal = "weigh one of the set on another balance, and keep what comes out: pluckweigh calibrate rig"
)

// A load is a flag that takes a force, or the mass that hangs.
type load struct {
	physics.Load
	role  physics.Role[physics.Force]
	text  string
	given bool
}

func (v *load) Set(s string) (err error) {
	v.Load, err = physics.ParseLoad(v.role, s)
	v.text, v.given = s, true
	return err
}

// pull is what it pulls, a mass in the gravity of any place.
func (v *load) pull() (physics.Result[physics.Force], error) { return v.Under(physics.AnyGravity()) }

func (v *load) String() string { return v.text }
func (v *load) Type() string   { return "quantity" }

// A gravity is a flag that takes the gravity of a place or its latitude.
type gravity struct {
	physics.Measured[physics.Acceleration]
	text string
}

func (v *gravity) Set(s string) (err error) {
	v.Measured, err = physics.ParseGravity(s)
	v.text = s
	return err
}

func (v *gravity) String() string { return v.text }
func (v *gravity) Type() string   { return "gravity" }

// addTo adds the flag to those of a command that takes loads.
func (v *gravity) addTo(f *pflag.FlagSet) {
	f.Var(v, "gravity", "gravity that masses hang by, like 9.812m/s2, or the latitude of the place, like 52° (default the standard one)")
}

// A rig is a flag that takes the name of a rig that was calibrated. None neither
// takes anything off a load nor adds to its uncertainty.
type rig struct{ calib.Rig }

func (v *rig) Set(s string) error {
	all, err := kept()
	if err != nil {
		return err
	}
	v.Rig, err = calib.RigNamed(all, s, time.Now())
	return err
}

func (v *rig) String() string { return v.Name }
func (v *rig) Type() string   { return "name" }

// A share is a flag that takes a relative standard uncertainty, like ±0.1%.
type share struct {
	physics.Relative
	what string
	text string
}

func (v *share) Set(s string) (err error) {
	v.Relative, err = physics.ParseRelative(v.what, s)
	v.text = s
	return err
}

func (v *share) String() string { return v.text }
func (v *share) Type() string   { return "tolerance" }
