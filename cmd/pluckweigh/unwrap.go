package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
)

// unwrapping is what the command unwrap is told.
type unwrapping struct {
	e           *ears
	weight      quantity[physics.UnitWeight]
	gauge       quantity[physics.Length]
	b           quantity[physics.Inharmonicity]
	pull        load
	scale       *scale
	held        ends
	core, pitch quantity[physics.Length]
	shape       shape
	of, wrapOf  material
	wraps       int
}

func newUnwrap(s streams) *cobra.Command {
	u := &unwrapping{
		weight: quantity[physics.UnitWeight]{role: physics.StringWeight},
		gauge:  quantity[physics.Length]{role: physics.Gauge},
		b:      quantity[physics.Inharmonicity]{role: physics.StringInharmonicity},
		pull:   load{role: physics.Pull},
		core:   quantity[physics.Length]{role: physics.CoreSize},
		pitch:  quantity[physics.Length]{role: physics.WrapPitch},
	}
	cmd := &cobra.Command{
		Use:   "unwrap --unit-weight WEIGHT --gauge DIAMETER [--scale LENGTH " + takes + "]",
		Short: "Find the core and wraps that explain a string",
		Long: `unwrap finds what a string may be made of, from its unit weight and its gauge, the
diameter over all: plain wire, or one or two wraps of round wire, their turns touching,
on a round or hexagonal core. Its stiffness tells the core: it comes of the
inharmonicity, heard where --scale is given, or told with --inharmonicity, --pull and
--scale. Whatever else is known of the string narrows it down.

Wraps are taken to add next to nothing to the stiffness (0 ± 3 %), and not to be rolled
or ground. All builds are taken as equally likely beforehand: as many wraps as any other
number, each material usual for a part as any other. A percentage is the probability
among them, a range holds 95 % of it. What remains open is said, and what would settle
it.

A tolerance given (±) is a standard uncertainty, k = 1. One that was not given is
assumed. Sound is taken as listen takes it; what pluckweigh calibrate has found of the
recorder counts, and --scale takes the name of a length that it found. The materials are
` + materials() + `;
steel is music wire.

pluckweigh weigh finds a unit weight that is not known.`,
		Example: `  pluckweigh unwrap --unit-weight 18.34g/m±0.2% --gauge 1.85mm±0.01mm
  pluckweigh unwrap --unit-weight 18.34g/m±0.2% --gauge 1.85mm --scale 34in take.wav
  pluckweigh unwrap --unit-weight 18.34g/m --gauge 1.85mm --inharmonicity 6.2e-5±2% --pull 163N --scale 34in
  pluckweigh unwrap --unit-weight 18.34g/m --gauge 1.85mm --core 0.53mm --shape round --wrap-material nickel-200`,
		RunE: u.run,
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.Var(&u.weight, "unit-weight", "mass per length, like 18.4g/m or 0.00103lb/in")
	f.Var(&u.gauge, "gauge", "diameter over all, like 1.85mm or 0.073in")
	u.scale = addScale(f, &u.held)
	f.Var(&u.b, "inharmonicity", "inharmonicity B where it is known already, like 6e-5±1e-6")
	f.Var(&u.pull, "pull", "known pull at which B holds, like 163N; by itself it follows of\nunit weight and pitch")
	f.Var(&u.core, "core", "size of the core where it is bare, across the flats of a hexagonal one,\nlike 0.53mm")
	f.Var(&u.shape, "shape", "cross-section of the core: round or hexagonal")
	f.Var(&u.of, "material", "what the core, or a plain string, is made of")
	f.Var(&u.wrapOf, "wrap-material", "what all wraps are made of")
	f.IntVar(&u.wraps, "wraps", 0, "`number` of wraps, 0 for a plain string (default any)")
	f.Var(&u.pitch, "pitch", "distance from turn to turn of the outer wrap, like 0.45mm")
	u.e = newEars(s, cmd)
	u.e.addRecorder(cmd)
	u.e.offerMonteCarlo(cmd)
	cmd.Flags().Lookup(monteCarlo).Usage = "is for results that a formula gives, and refused here: a range is what is left of all builds"
	return cmd
}

func (u *unwrapping) run(cmd *cobra.Command, args []string) error {
	hears := u.scale.given && !u.b.given
	if err := u.check(cmd, args, hears); err != nil {
		return err
	}
	evidence := physics.Evidence{
		UnitWeight: u.weight.Measured, Outside: u.gauge.Measured, Core: u.core.Measured, Pitch: u.pitch.Measured,
	}
	if cmd.Flags().Changed("wraps") {
		evidence.Known.Wraps = []int{u.wraps}
	}
	if u.shape.given {
		evidence.Known.Shapes = []physics.Shape{u.shape.Shape}
	}
	if u.of.Name != "" {
		evidence.Known.CoreOf = []physics.Material{u.of.Material}
	}
	if u.wrapOf.Name != "" {
		evidence.Known.WrapOf = []physics.Material{u.wrapOf.Material}
	}
	if err := evidence.Check(); err != nil {
		return err // before anything is heard
	}
	if hears {
		return u.e.hear(cmd, args, judge{kind: ofBuilds, work: func(r heard) (*figure, error) { return u.heard(evidence, r) }})
	}
	if u.b.given {
		ei, err := u.stiffness(u.b.Measured)
		if err != nil {
			return err
		}
		evidence = evidence.With(ei)
	}
	fig, err := unwrapped(evidence)
	if err != nil {
		return err
	}
	return u.e.print(&answer{kind: ofBuilds, figure: fig})
}

// check refuses flags that do not go together.
func (u *unwrapping) check(cmd *cobra.Command, args []string, hears bool) error {
	switch {
	case u.e.carlo:
		return &callError{"--monte-carlo needs a formula, and unwrap has none: its ranges are what is left of all builds, weighed by their probability",
			"leave it out; pluckweigh weigh --core --wrap takes it for a build that you name"}
	case u.weight.given && !u.gauge.given:
		return &callError{"unwrap needs the gauge too", "add it, the diameter over all, as in --gauge 1.85mm"}
	case !u.weight.given && u.gauge.given:
		return &callError{"unwrap needs the unit weight too", "add it, as in --unit-weight 18.34g/m; `pluckweigh weigh` finds it"}
	case !u.weight.given:
		return &callError{"unwrap needs the unit weight and the gauge", "add both, as in --unit-weight 18.34g/m --gauge 1.85mm"}
	case u.b.given && !(u.pull.given && u.scale.given):
		return &callError{"--inharmonicity needs --pull and --scale too", "add both, as in --pull 163N --scale 34in"}
	case u.pull.given && !u.scale.given:
		return &callError{"--pull needs --scale too", "add it, as in --scale 34in"}
	case u.b.given && len(args) > 0:
		return &callError{"--inharmonicity is given, and a take to hear it from is named too", "leave one of the two out"}
	case len(args) > 0 && !hears:
		return &callError{fmt.Sprintf("%q can be heard only at a known speaking length", args[0]), "add it, as in --scale 34in"}
	}
	var odd error
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if odd == nil && !hears && (f.Name == "ends" || slices.Contains(u.e.sound, f.Name)) {
			odd = &callError{fmt.Sprintf("--%s is of no use where nothing is heard", f.Name), "leave it out"}
		}
	})
	return odd
}

// heard explains a string of which the stiffness is heard.
func (u *unwrapping) heard(evidence physics.Evidence, r heard) (*figure, error) {
	if !r.BKnown || r.B.V == 0 {
		return impossible(unwrapped(evidence))
	}
	s, err := stretchOf(r, u.scale.Measured, u.held.Ends)
	if err != nil {
		return nil, err
	}
	if u.pull.given {
		ei, err := u.stiffness(s.B)
		if err != nil {
			return nil, err
		}
		return impossible(unwrapped(evidence.With(ei)))
	}
	if evidence, err = evidence.Heard(s); err != nil {
		return nil, err
	}
	return impossible(unwrapped(evidence))
}

// stiffness is that of a string of which B is known under the pull given.
func (u *unwrapping) stiffness(b physics.Measured[physics.Inharmonicity]) (physics.Result[physics.BendingStiffness], error) {
	pull, err := u.pull.pull()
	if err != nil {
		return physics.Result[physics.BendingStiffness]{}, about("pull", err)
	}
	return physics.Stiff{B: b, Pull: pull.Measured, Length: u.scale.Measured}.Stiffness()
}

// impossible turns what contradicts itself into a result that is none.
func impossible(f *figure, err error) (*figure, error) {
	if err != nil {
		return nil, &implausibleError{err.Error()}
	}
	return f, nil
}

// unwrapped is the figure of what explains the evidence.
func unwrapped(e physics.Evidence) (*figure, error) {
	density, err := e.Density()
	if err != nil {
		return nil, err
	}
	x, err := e.Builds()
	if err != nil {
		return nil, err
	}
	return &figure{label: "builds", builds: &builds{e, density, x}}, nil
}
