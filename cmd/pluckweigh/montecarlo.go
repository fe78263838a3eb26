package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
)

// monteCarlo is the flag that asks for a Monte Carlo propagation. A way of weighing
// takes it whose result has a model.
const monteCarlo = "monte-carlo"

// offerMonteCarlo adds the flag to a command that prints a figure.
func (e *ears) offerMonteCarlo(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&e.carlo, monteCarlo, false, "check the uncertainty by a million random draws")
}

// A spread is what Monte Carlo makes of a figure's uncertainty.
type spread struct {
	physics.Validation
	k                            float64
	shortest, linear, difference string // for a person
}

func spreadOf[Q physics.Quantity](r physics.Result[Q]) (*spread, error) {
	v, err := r.MonteCarlo()
	if err != nil {
		return nil, err
	}
	return &spread{
		Validation: v,
		k:          r.CoverageFactor(v.P),
		shortest:   physics.FormatInterval(v.Shortest, r.Unit, r.U),
		linear:     physics.FormatInterval(v.Linear, r.Unit, r.U),
		difference: physics.Format(Q(v.Tolerance), r.Unit, 1),
	}, nil
}

// draw draws a figure at random and all that follows from it; one that was given has
// nothing to be drawn by.
func (f *figure) draw() (err error) {
	for ; f != nil; f = f.also {
		if len(f.budget) > 0 {
			if f.spread, err = f.simulate(); err != nil {
				return err
			}
		}
		rows := f.outlook.rows()
		for i := range f.build {
			rows = append(rows, &f.build[i])
		}
		for _, r := range rows {
			if r.u == 0 {
				continue
			}
			if r.spread, err = r.simulate(); err != nil {
				return err
			}
		}
	}
	return nil
}

// write prints the two intervals and what to make of them.
func (s *spread) write(w io.Writer) {
	fmt.Fprintf(w, "  Monte Carlo\t%g %% within %s  (%d draws)\n", 100*s.P, s.shortest, s.Draws)
	fmt.Fprintf(w, "  linear budget\t%g %% within %s  (k = %.3g)\n", 100*s.P, s.linear, s.k)
	fmt.Fprintf(w, "  %s\n", s.verdict())
}

// verdict says what to make of the two intervals.
func (s *spread) verdict() string {
	switch {
	case s.Agrees:
		return "the two agree to " + s.difference
	case s.Holds():
		return "the two differ by more than " + s.difference + ": the budget errs on the safe side"
	}
	return "the two differ by more than " + s.difference + ": go by Monte Carlo"
}
