package main

import (
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// How to know the parts of a string better.
const (
	betterGauge    = "measure it with a micrometer good to ±0.001 mm, as in --gauge 0.3048mm±0.0006mm"
	needsNoDensity = "weigh a cut length on a balance (--mass and --cut), which needs no density"
)

// byBuild works the weight of a plain string out from its gauge.
func (w *weighing) byBuild(f *pflag.FlagSet) way {
	gauge := quantity[physics.Length]{role: physics.Gauge}
	f.Var(&gauge, "gauge", "diameter of a plain wire, like 0.012in")
	f.Var(&w.of, "material", "what a plain wire or a core is made of")
	return way{
		say:   "work it out for a plain round wire",
		marks: []string{"gauge"}, needs: []string{"gauge", "material"}, takes: []string{monteCarlo},
		weigh: func(*cobra.Command, []string) error {
			w.keep.also = stock.String{String: traits.String{Kind: traits.Plain}, Material: w.of.Name,
				Measurements: []stock.Measurement{stock.Measure(gauge.Measured, stock.Stated, time.Time{}, "")}}
			mu, err := physics.PlainWire{Gauge: gauge.Measured, Density: w.of.Density}.UnitWeight()
			return w.still(stock.Built, mu, err, map[string]string{
				"gauge":   betterGauge,
				"density": needsNoDensity,
			})
		},
	}
}
