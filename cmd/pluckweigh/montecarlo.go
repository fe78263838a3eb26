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

// write prints the two intervals and what to make of them.
func (s *spread) write(w io.Writer) {
	fmt.Fprintf(w, "  Monte Carlo\t%g %% within %s  (%d draws)\n", 100*s.P, s.shortest, s.Draws)
	fmt.Fprintf(w, "  linear budget\t%g %% within %s  (k = %.3g)\n", 100*s.P, s.linear, s.k)
	switch {
	case s.Agrees:
		fmt.Fprintf(w, "  the two agree to %s\n", s.difference)
	case s.Holds():
		fmt.Fprintf(w, "  the two differ by more than %s: the budget errs on the safe side\n", s.difference)
	default:
		fmt.Fprintf(w, "  the two differ by more than %s: go by Monte Carlo\n", s.difference)
	}
}
