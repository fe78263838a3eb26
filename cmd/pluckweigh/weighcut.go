package main

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
)

// byCut weighs a cut length on a balance.
func (w *weighing) byCut(f *pflag.FlagSet) way {
	mass := quantity[physics.Mass]{role: physics.CutMass}
	cut := quantity[physics.Length]{role: physics.CutLength}
	f.Var(&mass, "mass", "mass of a cut length, like 9.21g±0.01g")
	f.Var(&cut, "cut", "length of that cut, like 500mm±0.5mm")
	return way{
		say:   "weigh a cut length on a balance",
		marks: []string{"mass", "cut"}, needs: []string{"mass", "cut"}, takes: []string{monteCarlo},
		weigh: func(*cobra.Command, []string) error {
			mu, err := physics.Cut{Mass: mass.Measured, Length: cut.Measured}.UnitWeight()
			return w.still("cut", mu, err, map[string]string{
				"mass of the cut":   "weigh a longer cut, or give the balance's tolerance, as in --mass 9.21g±0.001g",
				"length of the cut": "measure it closer, or cut it longer, as in --cut 1000mm±0.5mm",
			})
		},
	}
}
