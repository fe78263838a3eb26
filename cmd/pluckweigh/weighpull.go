package main

import (
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// A load is a flag that takes a force, or the mass that hangs.
type load struct {
	physics.Load
	role physics.Role[physics.Force]
	text string
}

func (v *load) Set(s string) (err error) {
	v.Load, err = physics.ParseLoad(v.role, s)
	v.text = s
	return err
}

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

// byPull weighs a string by its sound under a known pull.
func (w *weighing) byPull(f *pflag.FlagSet) way {
	pull := load{role: physics.Pull}
	f.Var(&pull, "pull", "known pull, like 163N or 36.6lbf, or a hanging mass, like 16.6kg")
	work := func(r detect.Reading) (*figure, error) {
		return pulledWeight(r, w.scale.Measured, pull.Load, w.gravity.Measured, w.held.Ends)
	}
	return way{
		say:   "hear it under a known pull: µ = T / (4 L² f0²)",
		marks: []string{"pull"}, needs: []string{"pull", "scale"}, takes: []string{"ends", "gravity"}, hears: true,
		weigh: func(cmd *cobra.Command, args []string) error {
			fmt.Fprintln(w.e.err, caution)
			return w.e.hear(cmd, args, judge{ofUnitWeight, work})
		},
	}
}

// pulledWeight is the unit weight of a string heard under a known pull.
func pulledWeight(r detect.Reading, length physics.Measured[physics.Length], pull physics.Load, gravity physics.Measured[physics.Acceleration], held physics.Ends) (*figure, error) {
	s, err := stretchOf(r, length, held)
	if err != nil {
		return nil, err
	}
	mu, err := s.UnitWeightUnder(pull, gravity)
	return heardWeight("pull", mu, err, map[string]string{
		"pull":            "weigh what hangs on a balance, and give the tolerance, as in --pull 163N±0.2N",
		"gravity":         gravityProposal,
		"speaking length": "measure it closer, and give the tolerance, as in --scale 863.6mm±0.2mm",
		"f0":              "pluck more often, and let the string ring longer",
		"end condition":   "say --ends where they are known: pinned over a round edge, clamped in a vice",
	})
}
