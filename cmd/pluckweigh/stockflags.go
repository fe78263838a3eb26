package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// stringFlags are flags that say what a string is and what was found of it.
type stringFlags struct {
	kinds
	of        material
	label     string
	left      int
	weight    quantity[physics.UnitWeight]
	outside   quantity[physics.Length]
	stiffness quantity[physics.BendingStiffness]
	route     string
	reading   string
}

func (v *stringFlags) addTo(f *pflag.FlagSet) {
	v.weight.role, v.outside.role, v.stiffness.role = physics.StringWeight, physics.Gauge, physics.Role[physics.BendingStiffness](stock.Stiffness)
	v.kinds.addTo(f, "it is a plain wire", "it is wound")
	f.Var(&v.of, "material", "what a plain string or the core is made of")
	f.StringVar(&v.label, "label", "", "`text` that it came labelled as")
	f.IntVar(&v.left, "left", 0, "`number` that there are of it")
	f.Var(&v.weight, "unit-weight", "unit weight, like 18.4g/m±1%; pluckweigh weigh finds one, and its --keep keeps it")
	f.Var(&v.outside, "gauge", "outside diameter, like 1.17mm±0.003mm")
	f.Var(&v.stiffness, "stiffness", "bending stiffness of the core, like 0.00076N*m2±2%")
	f.StringVar(&v.route, "route", stock.Stated, "`how` these three were found, in a word or two, like micrometer")
	f.StringVar(&v.reading, "reading", "", "`text` of what they were found from, like \"0.0461in, 0.0460in, 0.0461in\"")
}

// apply says of the string what the flags say.
func (v *stringFlags) apply(cmd *cobra.Command, x *stock.String) error {
	given := cmd.Flags().Changed
	kind, err := v.kind()
	if err != nil {
		return err
	}
	if kind != traits.EitherKind {
		x.Kind = kind
	}
	if given("material") {
		x.Material = v.of.Name
	}
	if given("label") {
		x.Label = v.label
	}
	if given("left") {
		if v.left < 0 {
			return &callError{fmt.Sprintf("--left: %d is below zero", v.left), "write how many there are, like 3"}
		}
		x.Left = v.left
	}
	return nil
}

// measurements lists what the flags say was found.
func (v *stringFlags) measurements(cmd *cobra.Command) ([]stock.Measurement, error) {
	now := time.Now()
	var all []stock.Measurement
	if v.weight.given {
		all = append(all, stock.Measure(v.weight.Measured, v.route, now, v.reading))
	}
	if v.outside.given {
		all = append(all, stock.Measure(v.outside.Measured, v.route, now, v.reading))
	}
	if v.stiffness.given {
		all = append(all, stock.Measure(v.stiffness.Measured, v.route, now, v.reading))
	}
	for _, f := range []string{"route", "reading"} {
		if len(all) == 0 && cmd.Flags().Changed(f) {
			return nil, &callError{fmt.Sprintf("--%s says how something was found, and nothing was", f), "add --unit-weight, --gauge or --stiffness, or leave it out"}
		}
	}
	return all, nil
}
