package main

import (
	"errors"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
)

func newTension(s streams) *cobra.Command {
	var (
		e      *ears
		scale  *scale
		weight = quantity[physics.UnitWeight]{role: physics.StringWeight}
		held   ends
	)
	cmd := &cobra.Command{
		Use:   "tension --scale LENGTH --unit-weight WEIGHT " + takes,
		Short: "Hear how hard a string of known unit weight pulls",
		Long: `tension hears a pluck as listen does and works out how hard the string pulls:
T = 4 µ L² f0², from the speaking length L, the unit weight µ and the f0 heard.
A tolerance given (±) is a standard uncertainty, k = 1. One that was not given is
assumed and marked so. Results carry twice their standard uncertainty, k = 2, what it
comes from, and what it would become if an input were known as well as is in reach.
With --monte-carlo a million random draws stand beside that.

Sound cannot tell pinned ends, which lie on an edge and can tilt, from clamped ones,
which cannot and pull less at the same pitch. The tension is taken half-way between
the two, unless --ends says which.

Listening to a microphone on a terminal it draws a screen, as listen does; --lines prints
lines instead.

pluckweigh weigh finds a unit weight that is not known. What pluckweigh calibrate has
found counts: a microphone's clock by itself, that of a file's recorder with
--recorder, and --scale takes the name of a length that was found by sound.`,
		Example: `  pluckweigh tension --scale 34in --unit-weight 18.4g/m take.wav
  pluckweigh tension --scale 863.6mm±0.5mm --unit-weight 18.4g/m±0.2% --json *.wav
  pluckweigh tension --scale 34in --unit-weight 0.00103lb/in --near A1`,
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case !scale.given && !weight.given:
				return &callError{"tension needs the speaking length and the unit weight", "add both, as in --scale 34in --unit-weight 18.4g/m"}
			case !scale.given:
				return &callError{"tension needs the speaking length too", "add it, as in --scale 34in"}
			case !weight.given:
				return &callError{"tension needs the unit weight too", "add it, as in --unit-weight 18.4g/m; `pluckweigh weigh` finds it"}
			}
			return e.hear(cmd, args, judge{kind: ofTension, work: func(r heard) (*figure, error) {
				return tensionOf(r, scale.Measured, weight.Measured, held.Ends)
			}})
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().Var(&weight, "unit-weight", "mass per length, like 18.4g/m or 0.00103lb/in")
	scale = addScale(cmd.Flags(), &held)
	e = newEars(s, cmd)
	e.offerScreen(cmd)
	e.addRecorder(cmd)
	e.offerMonteCarlo(cmd)
	return cmd
}

// tensionOf is the pull of a string of unit weight w.
func tensionOf(r heard, length physics.Measured[physics.Length], w physics.Measured[physics.UnitWeight], held physics.Ends) (*figure, error) {
	s, err := stretchOf(r, length, held)
	if err != nil {
		return nil, err
	}
	t, err := s.Tension(w)
	if err == nil {
		err = physics.Pull.Check(t.Value)
	}
	if err := noString(err, "the tension comes out implausible for a string"); err != nil {
		return nil, err
	}
	return figureOf("tension", "", t, betterTension), nil
}

// betterTension says how to know the inputs of a tension better.
var betterTension = map[string]string{
	"unit weight":     "weigh the string (pluckweigh weigh), or give the tolerance, as in --unit-weight 18.4g/m±0.2%",
	"speaking length": "measure it closer, and give the tolerance, as in --scale 863.6mm±0.2mm",
	"f0":              "pluck more often, and let the string ring longer",
	"recorder clock":  clockProposal,
	"inharmonicity":   "pluck louder and nearer the end, so that more partials are heard",
	"end condition":   "weigh the string once under a known pull where it sits, or say --ends where they are known",
	"gauge":           betterGauge,
}

// noString turns a result refused by physics into an implausible one.
func noString(err error, say string) error {
	var input *physics.InputError
	if errors.As(err, &input) {
		return &implausibleError{say + ": a number or its unit is wrong, or the note heard is"}
	}
	return err
}
