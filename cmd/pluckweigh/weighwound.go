package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
)

// A wraps is a flag that takes a wrap each time it is given.
type wraps struct {
	all  []physics.Wrap
	text []string
}

func (v *wraps) Set(s string) error {
	w, err := physics.ParseWrap(s)
	if err == nil {
		v.all, v.text = append(v.all, w), append(v.text, s)
	}
	return err
}
func (v *wraps) String() string { return strings.Join(v.text, " ") }
func (v *wraps) Type() string   { return "wrap" }

// byWinding works the weight of a wound string out from its core and wraps.
func (w *weighing) byWinding(f *pflag.FlagSet) way {
	core := quantity[physics.Length]{role: physics.CoreSize}
	var wound wraps
	var hex bool
	f.Var(&core, "core", "diameter of a core, or across the flats of a hexagonal one, like 0.4mm")
	f.BoolVar(&hex, "hex", false, "the core is hexagonal")
	f.Var(&wound, "wrap", "wire of a wrap and what it is made of, like 0.5mm:nickel-200, or\n0.5mm@0.55mm:nickel-200 with a pitch where turns do not touch; the\ninnermost first, one flag each")
	return way{
		say:   "work it out from a core and the --wrap wires on it",
		marks: []string{"core", "hex", "wrap"}, needs: []string{"core", "material"},
		weigh: func(*cobra.Command, []string) error {
			b := physics.Build{Core: physics.Core{Size: core.Measured, Of: w.of.Material}, Wraps: wound.all}
			if hex {
				b.Core.Shape = physics.Hexagonal
			}
			return w.built(b)
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
	fig := figureOf(string(physics.StringWeight), "build", mu, betterBuild(mu.Budget))
	if w.e.json {
		return writeLine(w.e.out, struct {
			takeJSON
			UnitWeight *unitWeightJSON `json:"unit_weight"`
			Build      buildJSON       `json:"build"`
		}{
			takeJSON{Plucks: []pluckJSON{}, Doubts: []doubtJSON{}}, newUnitWeightJSON(fig),
			buildJSON{
				Outside: finite(float64(outside.Value)), UOutside: finite(float64(outside.U)), OutsideBudget: budgetJSON(outside.Budget),
				Bending: finite(float64(bending.Value)), UBending: finite(float64(bending.U)), BendingBudget: budgetJSON(bending.Budget),
				Axial: finite(float64(axial.Value)), UAxial: finite(float64(axial.U)), AxialBudget: budgetJSON(axial.Budget),
			},
		})
	}
	t := tabwriter.NewWriter(w.e.out, 0, 0, 2, ' ', 0)
	fig.write(t)
	fmt.Fprintln(t, "\n  the same build has")
	writeRow(t, "outside diameter", expanded(outside.Measured))
	writeRow(t, "core stiffness EI", expanded(bending.Measured)+"  in bending")
	writeRow(t, "core stiffness EA", expanded(axial.Measured)+"  in stretching")
	return t.Flush()
}

func writeRow(w io.Writer, name, value string) { fmt.Fprintf(w, "    %s\t%s\n", name, value) }

// betterBuild says how to know the inputs of a build better.
func betterBuild(b physics.Budget) map[string]string {
	better := map[string]string{}
	for _, t := range b {
		part, _, _ := strings.Cut(t.Input, " ")
		switch part {
		case "core":
			better[t.Input] = "measure it with a micrometer where it is bare, as in --core 0.4mm±0.002mm"
		case "wrap":
			better[t.Input] = "measure its wire with a micrometer, as in --wrap 0.5mm±0.002mm:nickel-200"
		case "pitch":
			better[t.Input] = "count more turns along a rule, as in --wrap 0.5mm@0.55mm±0.3%:nickel-200"
		case "density", "seat":
			better[t.Input] = needsNoDensity
		}
	}
	return better
}

// buildJSON is what a build decides besides its unit weight.
type buildJSON struct {
	Outside       *float64   `json:"outside_m"`
	UOutside      *float64   `json:"u_outside_m"`
	OutsideBudget []termJSON `json:"outside_budget"`
	Bending       *float64   `json:"core_bending_n_m2"`
	UBending      *float64   `json:"u_core_bending_n_m2"`
	BendingBudget []termJSON `json:"core_bending_budget"`
	Axial         *float64   `json:"core_axial_n"`
	UAxial        *float64   `json:"u_core_axial_n"`
	AxialBudget   []termJSON `json:"core_axial_budget"`
}
