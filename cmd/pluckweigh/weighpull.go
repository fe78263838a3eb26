package main

import (
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// byPull weighs a string by its sound under a known pull.
func (w *weighing) byPull(f *pflag.FlagSet) way {
	pull := load{role: physics.Pull}
	f.Var(&pull, "pull", "known pull, like 163N or 36.6lbf, or a hanging mass, like 16.6kg")
	var remarks []detect.Doubt
	work := func(r heard) (*figure, error) {
		on := physics.Loading{Load: pull.Load, Gravity: w.gravity.Measured, Loss: w.rig.Loss(), Scale: w.rig.Scale()}
		f, err := pulledWeight(r, w.scale.Measured, on, w.held.Ends)
		if f != nil {
			f.remarks = append(f.remarks, remarks...)
		}
		return f, err
	}
	return way{
		say:   "hear it under a known pull: µ = T / (4 L² f0²)",
		marks: []string{"pull"}, needs: []string{"pull", "scale"}, takes: []string{"ends", "gravity", "rig", monteCarlo}, hears: true,
		weigh: func(cmd *cobra.Command, args []string) error {
			remarks = w.rig.settle(pull.Weighs())
			fmt.Fprintln(w.e.err, caution)
			w.e.caution = caution
			return w.hear(cmd, args, judge{kind: ofUnitWeight, work: work})
		},
	}
}

// pulledWeight is the unit weight of a string heard under a known pull.
func pulledWeight(r heard, length physics.Measured[physics.Length], load physics.Loading, held physics.Ends) (*figure, error) {
	s, err := stretchOf(r, length, held)
	if err != nil {
		return nil, err
	}
	mu, err := s.UnitWeightUnder(load)
	return heardWeight("pull", mu, err, map[string]string{
		"pull":            "weigh what hangs on a balance, and give the tolerance, as in --pull 163N±0.2N or 16.6kg±10g",
		"gravity":         gravityProposal,
		"friction":        "measure it by more loads, as they are added and taken off: pluckweigh calibrate rig --hang ... --unload ...",
		"weights":         weightsProposal,
		"speaking length": "measure it closer, and give the tolerance, as in --scale 863.6mm±0.2mm",
		"f0":              "pluck more often, and let the string ring longer",
		"recorder clock":  clockProposal,
		"inharmonicity":   "pluck louder and nearer the end, so that more partials are heard",
		"end condition":   "say --ends where they are known: pinned over a round edge, clamped in a vice",
	})
}
