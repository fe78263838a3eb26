package main

import (
	"fmt"
	"time"

	"github.com/spf13/pflag"

	"pluckweigh/calib"
	"pluckweigh/detect"
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

// A rig is a flag that takes the name of a rig that was calibrated. That of none neither
// takes anything off a load nor adds to its uncertainty.
type rig struct {
	calib.Rig
	given bool
}

// noRig is said in place of a name where no rig takes part.
const noRig = "none"

func (v *rig) Set(s string) error {
	v.given = true
	if s == noRig {
		return nil
	}
	all, err := kept()
	if err != nil {
		return err
	}
	v.Rig, err = calib.RigNamed(all, s, time.Now())
	return err
}

// Codes of what is said of a rig that nobody named.
const (
	rigApplied    detect.Code = "rig_applied"
	rigNotApplied detect.Code = "rig_not_applied"
)

// settle takes the rig that masses hang on where nobody named one: the one that was
// calibrated, if there is no other. It says so.
func (v *rig) settle(weighs bool) []detect.Doubt {
	if v.given || !weighs {
		return nil
	}
	all, err := kept()
	if err != nil {
		return []detect.Doubt{{Code: rigNotApplied, Say: err.Error()}} // a result without it is better than none
	}
	switch rigs := calib.Rigs(all, time.Now()); len(rigs) {
	case 0:
		return nil
	case 1:
		v.Rig = rigs[0]
		return []detect.Doubt{{Code: rigApplied, Say: fmt.Sprintf("the masses are taken to hang on the rig %q, the only one calibrated: say --rig none where they do not", v.Name)}}
	default:
		return []detect.Doubt{{Code: rigNotApplied, Say: fmt.Sprintf("%d rigs are calibrated, and none is applied: name the one that the masses hang on, as in --rig %q, or say --rig none", len(rigs), rigs[0].Name)}}
	}
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
