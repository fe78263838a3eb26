package main

import (
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/calib"
)

// A friction is a flag that takes a force of either sign about zero: ±0.3N where
// only its size is known, or 1.2N±0.3N.
type friction struct {
	calib.Friction
	text string
}

func (v *friction) Set(s string) (err error) {
	v.Friction, err = calib.ParseFriction(s)
	v.text = s
	return err
}
func (v *friction) String() string { return v.text }
func (v *friction) Type() string   { return "force" }

func newCalibrateRig(s streams) *cobra.Command {
	var (
		asJSON  bool
		rubs    friction
		weights = share{what: "tolerance of the weights"}
	)
	cmd := &cobra.Command{
		Use:   "rig NAME --friction FORCE --weights TOLERANCE",
		Short: "Keep what is known of a rig that strings are loaded on",
		Long: `rig keeps under a name how much less a string pulls than what hangs on it, since a
pulley or an edge takes its part, and how well the weights are known. Both are
standard uncertainties, k = 1: --friction ±0.3N where it may be either way and only
its size is known, --friction 1.2N±0.3N where it was measured: hang two or more loads
on one string, and pluckweigh weigh --hang says by how much more it pulls than they:
turn the sign, and take half of the ±.
--weights is what all weights of the set may be off together. Both count where weigh
is told the rig's name with --rig.`,
		Example: `  pluckweigh calibrate rig bench --friction ±0.3N --weights ±0.1%
  pluckweigh calibrate rig bench --friction 1.2N±0.3N --weights ±0.05%
  pluckweigh weigh --rig bench --pull 16.1kg --scale 34in take.wav`,
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) != 1 || strings.TrimSpace(args[0]) == "":
				return &callError{"rig needs one name to keep it under", "write it like `pluckweigh calibrate rig bench --friction ±0.3N --weights ±0.1%`"}
			case rubs.text == "" || weights.text == "":
				return &callError{"rig needs both --friction and --weights", "add them, as in --friction ±0.3N --weights ±0.1%"}
			}
			keep, err := newKeeper(s, asJSON)
			if err != nil {
				return err
			}
			rig := calib.Rig{Name: args[0], Friction: rubs.Value, UFriction: rubs.U, Weights: weights.U}
			return keep.keep(rig.Entry("as stated", time.Now()))
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.BoolVar(&asJSON, "json", false, "print JSON lines in SI units")
	f.Var(&rubs, "friction", "by how much less the string pulls than the load, like ±0.3N or 1.2N±0.3N")
	f.Var(&weights, "weights", "relative standard uncertainty of the weights, like ±0.1%")
	return cmd
}
