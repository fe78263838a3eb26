package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
	"pluckweigh/safety"
)

// whip stands beside caution before what pulls harder.
const whip = safety.Whip

// foreseeing holds the flags of whatif.
type foreseeing struct {
	e      *ears
	scale  *scale
	weight quantity[physics.UnitWeight]
	held   ends
	pull   load
	at     pitch
	core   quantity[physics.Length]
	gauge  quantity[physics.Length]
	across shape
	of     material
	frame  frame
	retune pitches
	warmer quantity[physics.TemperatureStep]
	colder quantity[physics.TemperatureStep]
	bend   quantity[physics.PitchInterval]
	push   quantity[physics.Length]
	others pulls
	given  func(flag string) bool
}

func newWhatIf(s streams) *cobra.Command {
	w := &foreseeing{
		weight: quantity[physics.UnitWeight]{role: physics.StringWeight},
		pull:   load{role: physics.Pull},
		core:   quantity[physics.Length]{role: physics.CoreSize},
		gauge:  quantity[physics.Length]{role: physics.Gauge},
		warmer: quantity[physics.TemperatureStep]{role: physics.Warming},
		colder: quantity[physics.TemperatureStep]{role: physics.Warming},
		bend:   quantity[physics.PitchInterval]{role: physics.BendInterval},
		push:   quantity[physics.Length]{role: physics.PushDepth},
	}
	cmd := &cobra.Command{
		Use:   "whatif --scale LENGTH (--unit-weight WEIGHT " + takes + " | --unit-weight WEIGHT --at NOTE | --pull FORCE) [QUESTION...]",
		Short: "Foresee what a string does when it is retuned, bent, pushed or warmed",
		Long: `whatif says what a string will do, from how hard it pulls now. That is heard, as by
tension, what pluckweigh calibrate has found included; or worked out for the note
that it is tuned to, --at; or given as --pull.

    --retune NOTE          what it pulls at another note, and how near it is to breaking
    --warmer, --colder     what a change of temperature does to its pitch and pull
    --bend INTERVAL        how far and how hard it must be pushed aside for that
    --push DEPTH           how hard that is, and what it does to the pitch
    --others FORCE         what all strings pull together, with each of the others named

Stress, breaking, bending and temperature need what carries the pull: --core and
--material of a wound string, --gauge and --material of a plain one. The unit weight
of a plain one is worked out from these where it is not given.

A string is bent or pushed at the middle of its length and sounds from there to one
end. Its ends are taken to be rigid, nothing to slide over them or stretch beyond
them; the core to be elastic. It breaks at the least strength that a standard asks of
new wire: kinks, edges and wear break it sooner. A string and its --frame are taken to
reach the new temperature both. What metal softens by is known roughly: it is not in the
values, but in their ±.

A tolerance given (±) is a standard uncertainty, k = 1. One that was not given is
assumed and marked so. Results carry twice their standard uncertainty, k = 2, and
beside it what it rests on.

With --json the line of tension has "what_if" too, a list of answers: "what" was
asked, values in SI units by name with their "u_", what each is owed to in "budgets",
and in "limits" how near the core is to breaking.

` + caution + "\n" + whip,
		Example: `  pluckweigh whatif --scale 34in --unit-weight 18.4g/m --retune B1 --retune G1 take.wav
  pluckweigh whatif --scale 648mm --gauge 0.254mm --material steel --at E4 --bend 2semitones
  pluckweigh whatif --scale 34in --pull 163N --core 0.53mm --material steel --warmer 5K --frame wood`,
		RunE: func(cmd *cobra.Command, args []string) error { return w.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	w.scale = addScale(f, &w.held)
	f.Var(&w.weight, "unit-weight", "mass per length, like 18.4g/m or 0.00103lb/in")
	f.Var(&w.at, "at", "note that the string is tuned to, like A1 or 55Hz, where none is heard")
	f.Var(&w.pull, "pull", "known pull, like 163N or 36.6lbf, or a hanging mass, like 16.6kg, where none is heard")
	f.Var(&w.core, "core", "diameter of a wound string's core, or across the flats of a hexagonal one, like 0.4mm")
	f.Var(&w.across, "shape", "cross-section of the core: round or hexagonal (default round)")
	f.Var(&w.gauge, "gauge", "diameter of a plain wire, like 0.012in")
	f.Var(&w.of, "material", "what the core or the plain wire is made of, like steel")
	f.Var(&w.retune, "retune", "note to tune to, like A1 or 55Hz; may be repeated")
	f.Var(&w.warmer, "warmer", "how much warmer, like 5K or 9°F")
	f.Var(&w.colder, "colder", "how much colder, like 5K or 9°F")
	f.Var(&w.frame, "frame", "what warmth does to the instrument: rigid, wood, or like 4ppm/K (default rigid)")
	f.Var(&w.bend, "bend", "interval to bend by, like 100cents or 2semitones")
	f.Var(&w.push, "push", "how far to push it aside, like 5mm")
	f.Var(&w.others, "others", "what another string of the set pulls, like 70N; may be repeated")
	w.e = newEars(s, cmd)
	w.e.addRecorder(cmd)
	w.e.offerMonteCarlo(cmd)
	return cmd
}

func (w *foreseeing) run(cmd *cobra.Command, args []string) error {
	w.given = cmd.Flags().Changed
	if err := w.check(cmd, args); err != nil {
		return err
	}
	if w.cored() || w.given("retune") {
		fmt.Fprintln(w.e.err, caution+"\n"+whip)
	}
	if !w.stated() {
		return w.e.hear(cmd, args, judge{kind: ofOutlook, work: w.heard})
	}
	fig, err := w.told()
	if fig == nil {
		return err
	}
	if printed := w.e.print(&answer{kind: ofOutlook, figure: fig, failed: err}); printed != nil {
		return printed
	}
	return err
}

// stated tells whether the string is described and not heard.
func (w *foreseeing) stated() bool { return w.given("pull") || w.given("at") }

// check refuses what cannot be worked out, before anything is heard.
func (w *foreseeing) check(cmd *cobra.Command, args []string) error {
	plain, wound := w.given("gauge"), w.given("core")
	switch {
	case !w.given("scale"):
		return &callError{"whatif needs the speaking length", "add it, as in --scale 34in"}
	case w.given("material") && !plain && !wound:
		return &callError{"--material needs --core or --gauge too", "add --core for a wound string, --gauge for a plain one"}
	case wound && !w.given("material"), plain && !wound && !w.given("material"):
		return &callError{"what carries the pull needs --material too", "add it, as in --material steel"}
	case plain && wound && w.core.Value >= w.gauge.Value:
		return &callError{"--core: the core is as thick as the string's gauge or thicker", "check both; a plain string has a --gauge and no --core"}
	case w.across.given && !wound:
		return &callError{"--shape needs --core too", "add it, as in --core 0.4mm"}
	case !w.given("unit-weight") && !w.given("pull") && (wound || !plain):
		return &callError{"whatif needs the unit weight or the pull too", "add --unit-weight, as in --unit-weight 18.4g/m, or --pull"}
	case w.given("pull") && w.given("at") && (w.given("unit-weight") || plain && !wound):
		return &callError{"--pull, --at and the unit weight say one thing twice", "leave one of the three out"}
	case w.given("warmer") && w.given("colder"):
		return &callError{"--warmer and --colder contradict each other", "ask after one at a time"}
	case w.given("frame") && !w.given("warmer") && !w.given("colder"):
		return &callError{"--frame is of use with a change of temperature only", "add --warmer or --colder, or leave it out"}
	case w.given("retune") && w.given("pull") && !w.given("at") && !w.given("unit-weight") && (wound || !plain):
		return &callError{"--retune needs to know what the string is tuned to now", "add --at or --unit-weight"}
	}
	for _, flag := range []string{"warmer", "colder", "bend", "push"} {
		if w.given(flag) && !plain && !wound {
			return &callError{"--" + flag + " needs to know what carries the pull",
				"add --core and --material for a wound string, as in --core 0.4mm --material steel, or --gauge and --material for a plain one"}
		}
	}
	if !w.stated() {
		return nil
	}
	if len(args) > 0 {
		return &callError{fmt.Sprintf("the string is told by its pull or note, and the take %q is named too", args[0]), "leave one of the two out"}
	}
	for _, flag := range w.e.sound {
		if w.given(flag) && flag != "reference" { // which notes go by too
			return &callError{fmt.Sprintf("the string is told by its pull or note, but --%s is for sound", flag), "leave it out"}
		}
	}
	return nil
}
