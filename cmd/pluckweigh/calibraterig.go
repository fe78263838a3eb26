package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/calib"
	"pluckweigh/physics"
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

// A rigging is the finding of what a rig takes off its loads.
type rigging struct {
	hanging // the loads as they are added
	unload  hangs
	rubs    friction
	weights share
}

func newCalibrateRig(s streams) *cobra.Command {
	r := &rigging{hanging: hanging{weighing: &weighing{gravity: gravity{Measured: physics.AnyGravity()}}},
		weights: share{what: "tolerance of the weights"}}
	cmd := &cobra.Command{
		Use:   "rig NAME --weights TOLERANCE (--scale LENGTH --hang LOAD[:TAKE]... [--unload LOAD[:TAKE]...] | --friction FORCE)",
		Short: "Find and keep what a rig that strings are loaded on takes off the loads",
		Long: `rig finds by how much less a string pulls than what hangs on it, since a pulley or an edge
takes its part, or more, where a hanger was not weighed; and keeps that under a name.

Hang three loads or more, better five from light to heavy, on one string, each with its
take; without takes it listens, asking for load after load. The square of the pitch is a
line over the load, and where that meets zero is what the rig takes: the slope, and with
it the string, need not be known. Friction turns round with the way that the load has
last moved. With --unload the same or other loads are heard while they are taken off
again; then the loss is taken half-way between the two ways, and where between them
counts in its uncertainty. Without, it is that of loads that are added. A friction that
grows with the load is no one force: it is refused where both ways are heard, and cannot
be told from a heavier string where one is.

What was measured otherwise is given as --friction, a standard uncertainty with it (k = 1):
±0.3N where it may be either way and only its size is known, 1.2N±0.3N, or -1.2N±0.3N
where the string pulls more than the load. A mass stands for its weight in standard
gravity. --weights is what all weights of the set may be off together.

Both count where weigh has masses that hang, by itself if no other rig is kept, or where
it is told the name with --rig.

` + hangCaution,
		Example: `  pluckweigh calibrate rig bench --weights ±0.1% --scale 34in --hang 2kg:a.wav --hang 6kg:b.wav --hang 10kg:c.wav
  pluckweigh calibrate rig bench --weights ±0.1% --scale 34in --hang 2kg --hang 6kg --hang 10kg --unload 6kg --unload 4kg --unload 2kg
  pluckweigh calibrate rig bench --friction 1.2N±0.3N --weights ±0.05%
  pluckweigh weigh --pull 16.1kg --scale 34in take.wav`,
		RunE: r.run,
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.Var(&r.weights, "weights", "relative standard uncertainty of the weights, like ±0.1%")
	f.Var(&r.hangs, "hang", "a load and its take as loads are added, like 2kg:a.wav, once for each; without a take, listen")
	f.Var(&r.unload, "unload", "a load and its take as loads are taken off again, likewise")
	f.Var(&r.rubs, "friction", "by how much less the string pulls than the load, where it is known, like ±0.3N or 1.2N±0.3N")
	r.scale = addScale(f, &r.held)
	r.gravity.addTo(f)
	f.Var(&r.of, "material", "what the string's core is made of")
	r.e = newEars(s, cmd)
	r.e.addRecorder(cmd)
	return cmd
}

func (r *rigging) run(cmd *cobra.Command, args []string) error {
	if len(args) == 0 || strings.TrimSpace(args[0]) == "" {
		return &callError{"rig needs a name to keep it under", "write it like `pluckweigh calibrate rig bench --weights ±0.1% --scale 34in --hang 2kg:a.wav --hang 6kg:b.wav --hang 10kg:c.wav`"}
	}
	name := args[0]
	if err := r.hangs.add(args[1:]); err != nil {
		return err
	}
	told, heard := r.rubs.text != "", len(r.hangs)+len(r.unload) > 0
	switch {
	case name == noRig:
		return &callError{fmt.Sprintf("%q is what weigh is told where no rig takes part", name), "choose another name"}
	case r.weights.text == "":
		return &callError{"rig needs --weights too", "say what all weights of the set may be off together, as in --weights ±0.1%"}
	case told == heard:
		return &callError{"rig goes by loads that are heard or by a friction that is known", "give --hang for three loads or more and --scale, or --friction, as in --friction ±0.3N"}
	}
	keep, err := newKeeper(r.e.streams, r.e.json)
	if err != nil {
		return err
	}
	if heard {
		return r.byLoads(cmd, keep, name)
	}
	var odd error
	for _, flag := range append([]string{"scale", "ends", "gravity", "material"}, r.e.sound...) {
		if odd == nil && cmd.Flags().Changed(flag) {
			odd = &callError{fmt.Sprintf("--%s is of no use where the friction is given", flag), "leave it out"}
		}
	}
	if odd != nil {
		return odd
	}
	how := "as stated"
	if r.rubs.Mass != "" {
		how = fmt.Sprintf("as stated, %s by standard gravity, 9.80665 m/s²", r.rubs.Mass)
	}
	rig := calib.Rig{Name: name, Friction: r.rubs.Value, UFriction: r.rubs.U, Weights: r.weights.U}
	return keep.keep(rig.Entry(how, time.Now()))
}

// byLoads finds the friction by what is heard under loads.
func (r *rigging) byLoads(cmd *cobra.Command, keep *keeper, name string) error {
	given := cmd.Flags().Changed
	switch {
	case !r.scale.given:
		return &callError{"rig needs the speaking length to hear loads", "add it, as in --scale 34in"}
	case given("near"):
		return &callError{"--near names one note, and each load has its own", "leave it out"}
	}
	up, err := r.hangs.files(r.gravity.Value)
	if err != nil {
		return err
	}
	var down []string
	if len(r.unload) > 0 {
		if down, err = r.unload.files(r.gravity.Value); err != nil {
			return err
		}
		if (len(up) == 0) != (len(down) == 0) {
			return &callError{"loads have takes one way, and none the other", "name the takes of all, or leave out all to listen"}
		}
	}
	if err := r.e.check(cmd, append(up, down...)); err != nil {
		return err
	}
	r.common = r.weights
	fmt.Fprintln(r.e.err, hangCaution)
	ways := make([]line, 2)
	for i, loads := range []hangs{r.hangs, r.unload} {
		if len(loads) == 0 {
			continue
		}
		r.taking = i == 1
		if ways[i], err = r.heardUnder(cmd, loads, len(up) == 0); err != nil {
			return err
		}
	}
	if ways[0].rig.Clock.U < ways[1].rig.Clock.U {
		ways[0].rig.Clock = ways[1].rig.Clock
	}
	drag, err := ways[0].rig.Drag(ways[0].given, ways[1].given)
	var input *physics.InputError
	if errors.As(err, &input) {
		return &untrusted{"what the rig takes off the loads cannot be told: " + input.Error(), input.Hint()}
	}
	if err != nil {
		return err
	}
	keep.figure = figureOf("friction", "", drag.Loss, rigProposals)
	rig := calib.Rig{Name: name, Friction: drag.Loss.Value, UFriction: drag.Loss.U, Weights: r.weights.U}
	return keep.keep(rig.Entry(dragSaid(drag), time.Now()))
}

// heardUnder is what is heard under loads. What was left out of it is said.
func (r *rigging) heardUnder(cmd *cobra.Command, loads hangs, live bool) (line, error) {
	all, err := r.hear(cmd.Context(), loads, live, func(*answer) error { return nil })
	if err != nil {
		return line{}, err
	}
	l, doubts, err := r.gather(all)
	for _, d := range doubts {
		fmt.Fprintln(r.e.err, d.Say)
	}
	return l, err
}

// dragSaid is how a drag was found.
func dragSaid(d physics.Drag) string {
	said := fmt.Sprintf("by %d loads as they were added: what the string pulls less than they weigh", len(d.Up.Points))
	if d.Down != nil {
		said = fmt.Sprintf("by %d loads as they were added and %d as they were taken off, half-way between; either way rubs by %s (k = %d)",
			len(d.Up.Points), len(d.Down.Points), d.Rubs.Expanded(physics.Coverage), physics.Coverage)
	}
	return said
}

// rigProposals say how to know a friction better.
var rigProposals = map[string]string{
	"loads":                  "weigh them on a balance, and give the tolerance, as in --hang 2kg±0.1%:take.wav; hang lighter ones too",
	"scatter about the line": hangProposals["scatter about the line"],
	"way of the load":        "let it turn more easily: a larger pulley, a ball bearing, a drop of oil",
	"weights":                weightsProposal,
	"gravity":                gravityProposal,
	"f0":                     hangProposals["f0"],
	"stretch":                hangProposals["stretch"],
	"end condition":          hangProposals["end condition"],
}
