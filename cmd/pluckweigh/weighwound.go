package main

import (
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// byWinding works the weight of a wound string out from its core and wraps.
func (w *weighing) byWinding(f *pflag.FlagSet) way {
	core := quantity[physics.Length]{role: physics.CoreSize}
	var wound wraps
	var across shape
	f.Var(&core, "core", "diameter of a core, or across the flats of a hexagonal one, like 0.4mm")
	f.Var(&across, "shape", "cross-section of the core: round or hexagonal (default round)")
	f.Var(&wound, "wrap", "wire of a wrap and what it is made of, like 0.5mm:nickel-200, or\n0.5mm@0.55mm:nickel-200 with a pitch where turns do not touch; the\ninnermost first, one flag each")
	return way{
		say:   "work it out from a core and the --wrap wires on it",
		marks: []string{"core", "shape", "wrap"}, needs: []string{"core", "material"}, takes: []string{monteCarlo},
		weigh: func(*cobra.Command, []string) error {
			return w.built(physics.Build{
				Core:  physics.Core{Shape: across.Shape, Size: core.Measured, Of: w.of.Material},
				Wraps: wound.all,
			})
		},
	}
}

// built prints the unit weight of a build and what else it decides.
func (w *weighing) built(b physics.Build) error {
	mu, err := b.UnitWeight()
	if err == nil {
		err = physics.StringWeight.Check(mu.Value)
	}
	if err != nil {
		return err
	}
	outside, err := b.Outside()
	if err != nil {
		return err
	}
	bending, err := b.Core.Stiffness()
	if err != nil {
		return err
	}
	axial, err := b.Core.Axial()
	if err != nil {
		return err
	}
	w.keep.also = stock.String{String: traits.String{Kind: kindOf(b)}, Material: b.Core.Of.Name, Measurements: []stock.Measurement{
		stock.Measure(outside.Measured, stock.Built, time.Time{}, ""), stock.Measure(bending.Measured, stock.Built, time.Time{}, ""),
	}}
	fig := figureOf(string(physics.StringWeight), stock.Built, mu, betterBuild(mu.Budget))
	fig.build = []row{
		rowOf("outside diameter", "outside_m", outside),
		rowOf("core stiffness in bending, EI", "core_bending_n_m2", bending),
		rowOf("core stiffness in stretching, EA", "core_axial_n", axial),
	}
	return w.e.print(&answer{kind: ofUnitWeight, figure: fig})
}

// kindOf is whether a build is wound.
func kindOf(b physics.Build) traits.Kind {
	if len(b.Wraps) > 0 {
		return traits.Wound
	}
	return traits.Plain
}

// betterBuild says how to know the inputs of a build better.
func betterBuild(b physics.Budget) map[string]string {
	better := map[string]string{}
	for _, t := range b {
		part, _, _ := strings.Cut(t.Input, " ")
		switch part {
		case "core":
			better[t.Input] = "measure it where it is bare with a micrometer good to ±0.001 mm, as in --core 0.4mm±0.0006mm"
		case "wrap":
			better[t.Input] = "measure its wire with a micrometer good to ±0.001 mm, as in --wrap 0.5mm±0.0006mm:nickel-200"
		case "pitch":
			better[t.Input] = "count more turns along a rule, as in --wrap 0.5mm@0.55mm±0.3%:nickel-200"
		case "density":
			better[t.Input] = needsNoDensity
		case "seat":
			better[t.Input] = "weigh a cut length on a balance (--mass and --cut), which does not ask how the wraps lie"
		}
	}
	return better
}
