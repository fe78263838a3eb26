package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// caution stands before what can hurt.
const caution = `caution: a string that is loaded or tuned up can snap, and can harm the instrument.
Protect your eyes, keep out of its line, and go by the instrument's maker, a
qualified luthier and your local rules before anything that is said here.`

// weighing holds the flags of weigh that are its own.
type weighing struct {
	pull     quantity[physics.Force]
	scale    quantity[physics.Length]
	held     ends
	gauge    quantity[physics.Length]
	material material
	mass     quantity[physics.Mass]
	cut      quantity[physics.Length]
}

// A material is a flag that takes a material's name.
type material struct{ physics.Material }

func (v *material) Set(s string) (err error) {
	v.Material, err = physics.ParseMaterial(s)
	return err
}
func (v *material) String() string { return v.Name }
func (v *material) Type() string   { return "material" }

func newWeigh(s streams) *cobra.Command {
	var e *ears
	w := &weighing{
		pull:  quantity[physics.Force]{role: physics.Pull},
		scale: quantity[physics.Length]{role: physics.SpeakingLength},
		gauge: quantity[physics.Length]{role: physics.Gauge},
		mass:  quantity[physics.Mass]{role: physics.CutMass},
		cut:   quantity[physics.Length]{role: physics.CutLength},
	}
	cmd := &cobra.Command{
		Use:   "weigh (--pull FORCE --scale LENGTH " + takes + " | --gauge DIAMETER --material NAME | --mass MASS --cut LENGTH)",
		Short: "Find a string's unit weight, its mass per length",
		Long: `weigh finds the unit weight of a string by one of three routes:

    --pull, --scale        hear it under a known pull: µ = T / (4 L² f0²)
    --gauge, --material    work it out for a plain round wire
    --mass, --cut          weigh a cut length on a balance

A hanging weight of 16.1 kg pulls 16.1kgf where gravity is standard; at the equator
it is 0.3 % less, at the poles 0.3 % more.

A tolerance given (±) is a standard uncertainty, k = 1. One that was not given is
assumed and marked so. The result carries twice its standard uncertainty, k = 2.
The first route takes ends half-way between pinned (on an edge, where the string can
tilt) and clamped (where it cannot), unless --ends says which: sound cannot tell.

Only the first takes sound, as listen does. The materials are
` + materials() + `;
steel is music wire.

` + caution,
		Example: `  pluckweigh weigh --pull 163N±1N --scale 863.6mm take.wav
  pluckweigh weigh --pull 16.1kgf±0.3% --scale 34in --near A1
  pluckweigh weigh --gauge 0.012in --material steel
  pluckweigh weigh --mass 9.21g±0.01g --cut 500mm±0.5mm`,
		RunE: func(cmd *cobra.Command, args []string) error {
			route, err := w.route(cmd, args)
			switch {
			case err != nil:
				return err
			case route == "pull":
				fmt.Fprintln(e.err, caution)
				return e.hear(cmd, args, judge{ofUnitWeight, w.fromPull})
			}
			f, err := w.still(route)
			if err != nil {
				return err
			}
			return e.print(&answer{kind: ofUnitWeight, figure: f})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.Var(&w.pull, "pull", "known pull, like 163N, 36.6lbf or 16.6kgf")
	f.Var(&w.scale, "scale", "speaking length, like 34in or 863.6mm±0.5mm")
	f.Var(&w.held, "ends", "how the string is held: unknown, pinned or clamped")
	f.Var(&w.gauge, "gauge", "diameter of a plain wire, like 0.012in")
	f.Var(&w.material, "material", "what a plain wire is made of")
	f.Var(&w.mass, "mass", "mass of a cut length, like 9.21g±0.01g")
	f.Var(&w.cut, "cut", "length of that cut, like 500mm±0.5mm")
	e = newEars(s, cmd)
	return cmd
}

// routes lists the flags of each route that are all needed.
var routes = []struct {
	name  string
	flags []string
}{
	{"pull", []string{"pull", "scale"}},
	{"build", []string{"gauge", "material"}},
	{"cut", []string{"mass", "cut"}},
}

// route is the one way of weighing that the flags name.
func (w *weighing) route(cmd *cobra.Command, args []string) (string, error) {
	given := cmd.Flags().Changed
	const all = "give --pull and --scale (with sound), --gauge and --material (plain wire), or --mass and --cut (on a balance)"
	var named []string
	for _, r := range routes {
		if !slices.ContainsFunc(r.flags, given) {
			continue
		}
		named = append(named, r.name)
		for i, f := range r.flags {
			if !given(f) {
				return "", &callError{fmt.Sprintf("--%s needs --%s too", r.flags[1-i], f), "add --" + f}
			}
		}
	}
	switch {
	case len(named) == 0:
		return "", &callError{"weigh needs to know how", all}
	case len(named) > 1:
		return "", &callError{"the flags belong to more than one way of weighing", "keep those of one; " + all}
	case named[0] == "pull":
		return "pull", nil
	case len(args) > 0:
		return "", &callError{fmt.Sprintf("this way of weighing takes no sound, but %q is named", args[0]), "leave the take out"}
	}
	for _, f := range []string{"ends", "near", "reference", "input", "seconds", "channel", "rate", "save", "overwrite", "verbose"} {
		if given(f) {
			return "", &callError{fmt.Sprintf("this way of weighing takes no sound, but --%s is given", f), "leave it out"}
		}
	}
	return named[0], nil
}

// fromPull is the unit weight of a string heard under a known pull.
func (w *weighing) fromPull(r detect.Reading) (*figure, error) {
	s, err := stretchOf(r, w.scale.Measured, w.held.Ends)
	if err != nil {
		return nil, err
	}
	mu, err := s.UnitWeight(w.pull.Measured)
	if err == nil {
		err = physics.StringWeight.Check(mu.Value)
	}
	if err := noString(err, "the unit weight comes out implausible for a string"); err != nil {
		return nil, err
	}
	return figureOf("unit weight", "pull", mu, map[string]string{
		"pull":            "weigh what hangs on a balance, and give the tolerance, as in --pull 163N±0.2N",
		"speaking length": "measure it closer, and give the tolerance, as in --scale 863.6mm±0.2mm",
		"f0":              "pluck more often, and let the string ring longer",
		"end condition":   "say --ends where they are known: pinned over a round edge, clamped in a vice",
	}), nil
}

// still is the unit weight by a route without sound.
func (w *weighing) still(route string) (*figure, error) {
	var (
		mu        physics.Result[physics.UnitWeight]
		err       error
		proposals map[string]string
	)
	switch route {
	case "build":
		mu, err = physics.PlainWire{Gauge: w.gauge.Measured, Density: w.material.Density}.UnitWeight()
		proposals = map[string]string{
			"gauge":   "measure it with a micrometer, and give the tolerance, as in --gauge 0.3048mm±0.001mm",
			"density": "weigh a cut length on a balance (--mass and --cut), which needs no density",
		}
	case "cut":
		mu, err = physics.Cut{Mass: w.mass.Measured, Length: w.cut.Measured}.UnitWeight()
		proposals = map[string]string{
			"mass of the cut":   "weigh a longer cut, or give the balance's tolerance, as in --mass 9.21g±0.001g",
			"length of the cut": "measure it closer, or cut it longer, as in --cut 1000mm±0.5mm",
		}
	}
	if err == nil {
		err = physics.StringWeight.Check(mu.Value)
	}
	if err != nil {
		return nil, err // without sound only the call can be wrong
	}
	return figureOf("unit weight", route, mu, proposals), nil
}

func materials() string {
	s := ""
	for i, m := range physics.Materials() {
		if i > 0 {
			s += ", "
		}
		s += m.Name
	}
	return s
}
