package main

import (
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
)

// A material is a flag that takes a material's name.
type material struct{ physics.Material }

func (v *material) Set(s string) (err error) {
	v.Material, err = physics.ParseMaterial(s)
	return err
}
func (v *material) String() string { return v.Name }
func (v *material) Type() string   { return "material" }

// byBuild works the weight of a string out from what it is made of.
func (w *weighing) byBuild(f *pflag.FlagSet) way {
	gauge := quantity[physics.Length]{role: physics.Gauge}
	f.Var(&gauge, "gauge", "diameter of a plain wire, like 0.012in")
	f.Var(&w.of, "material", "what a plain wire or a core is made of")
	return way{
		say:   "work it out for a plain round wire",
		marks: []string{"gauge"}, needs: []string{"gauge", "material"},
		weigh: func(*cobra.Command, []string) error {
			mu, err := physics.PlainWire{Gauge: gauge.Measured, Density: w.of.Density}.UnitWeight()
			return w.still("build", mu, err, map[string]string{
				"gauge":   "measure it with a micrometer, and give the tolerance, as in --gauge 0.3048mm±0.001mm",
				"density": "weigh a cut length on a balance (--mass and --cut), which needs no density",
			})
		},
	}
}

func materials() string {
	var names []string
	for _, m := range physics.Materials() {
		names = append(names, m.Name)
	}
	return strings.Join(names, ", ")
}
