package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
	paper "pluckweigh/report"
	"pluckweigh/stock"
)

func newReportString(r *reporting) *cobra.Command {
	return &cobra.Command{
		Use:   "string NAME",
		Short: "Report what was measured of a string",
		Long: `string reports what the string is said to be, the best values with how well the
measurements agree, each measurement with what it was found from, and what is doubtful.

` + caution,
		Example: `  pluckweigh report string "E 46" --html e46.html`,
		Args:    oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			return r.run(cmd.Context(), func(ctx context.Context, st *stock.Store) (*paper.Document, error) {
				x, err := st.String(ctx, args[0])
				if err != nil {
					return nil, err
				}
				return stringReport(x)
			})
		},
	}
}

// stringReport is what is known of a string.
func stringReport(x stock.String) (*paper.Document, error) {
	d := &paper.Document{Title: "String " + x.Name, Cautions: cautions(caution)}
	is := paper.Section{Title: "What it is", Tables: []paper.Table{facts("As its owner describes it",
		fact("kind", paper.Said(orNotKnown(x.Kind.String()))), fact("material", paper.Said(orNotKnown(x.Material))),
		fact("labelled", paper.Said(orNotKnown(x.Label))), fact("left", paper.Said(leftOf(x))))}}
	found, err := foundOf(x)
	if err != nil {
		return nil, err
	}
	d.Sections = append(d.Sections, is, found)
	if len(x.Measurements) > 0 {
		d.Sections = append(d.Sections, measurementsOf(x))
	}
	if doubts := stringDoubts(x); len(doubts) > 0 {
		d.Sections = append(d.Sections, paper.Section{Title: "Doubts", Items: doubts})
	}
	d.Sections = append(d.Sections, calibrations(), howToRead())
	return d, nil
}

// foundOf tells the best values, and draws what they are made of.
func foundOf(x stock.String) (paper.Section, error) {
	s := paper.Section{Title: "What was found"}
	t := paper.Table{Caption: "Best values, each the mean of its measurements weighted by their uncertainties", Columns: []string{"of", expandedHead("best value"), "measurements", "agreement"}}
	for _, p := range stock.Properties() {
		m, a := x.Best(p)
		if a.N == 0 && !(p == stock.UnitWeight && x.ByGauge) {
			t.Rows = append(t.Rows, []paper.Cell{paper.Said(string(p)), paper.Said(notKnown), countCell(0), paper.Said("")})
			continue
		}
		said := a.String()
		if p == stock.UnitWeight && x.ByGauge {
			said = "never weighed: worked out of its gauge and material"
		}
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(string(p)), foundCell(m), countCell(a.N), paper.Said(said)})
		if a.N < 2 {
			continue
		}
		picture, err := drawn(besides(x, p, m), "Latest measurements of its "+string(p),
			fmt.Sprintf("The latest of %d measurements of the %s with bars of their expanded uncertainty (k = %d) beside a line at the best value, %s. The table of measurements has the numbers.", a.N, p, physics.Coverage, m))
		if err != nil {
			return s, err
		}
		s.Pictures = append(s.Pictures, picture)
	}
	s.Tables = append(s.Tables, t)
	return s, nil
}

// drawnIn is the unit that a property is drawn in, and its size.
func drawnIn(p stock.Property) (unit string, size float64) {
	switch p {
	case stock.UnitWeight:
		return "g/m", 1e-3
	case stock.Outside:
		return "mm", 1e-3
	}
	return "N m²", 1
}

// mostDrawn is how many measurements side by side can be told apart: about as many as fit
// with their numbers.
const mostDrawn = 12

// besides lays the latest measurements out beside the best value.
func besides(x stock.String, p stock.Property, best stock.Measurement) chart.Levels {
	unit, size := drawnIn(p)
	l := chart.Levels{Title: fmt.Sprintf("%s: %s", x.Name, p), X: "measurement", Y: fmt.Sprintf("%s (%s)", p, unit), K: physics.Coverage, Wished: "best value", Is: "measurement"}
	var all []chart.Level
	for _, m := range x.Measurements {
		if m.Property == p && m.SetAside == "" {
			all = append(all, chart.Level{Place: fmt.Sprint(m.ID), Name: m.Route, Y: m.Value / size, U: m.U / size, Wish: best.Value / size})
		}
	}
	l.Levels = all[max(0, len(all)-mostDrawn):]
	return l
}

// measurementsOf lists all measurements, and what each was found from.
func measurementsOf(x stock.String) paper.Section {
	return paper.Section{Title: "How it was measured", Tables: measurementTables(x, mostShown),
		Paragraphs: []string{"Shares of each uncertainty by input: " + notKept + "."}}
}

// measurementTables are of the latest measurements, so many at most.
func measurementTables(x stock.String, most int) []paper.Table {
	all := x.Measurements
	which := "measurements"
	if n := len(all); n > most {
		all, which = all[n-most:], fmt.Sprintf("the latest %d of %d measurements", most, n)
	}
	t := paper.Table{Caption: x.Name + ": " + which + ", and how far each is off the best value, in percent of that and in U (k = 2) of the measurement",
		Columns: []string{"number", "of", expandedHead("found"), "by", "made", "off, %", "off, U", "remark"}}
	from := paper.Table{Caption: x.Name + ": what they were found from, as it was kept with them", Columns: []string{"number", "from"}}
	for _, m := range all {
		off, over, remark := paper.Said(""), paper.Said(""), m.SetAside
		if best, a := x.Best(m.Property); m.SetAside == "" && a.N > 1 {
			relative, in := m.Beside(best)
			off = paper.Exactly(fmt.Sprintf("%+.2f", 100*relative), 100*relative, "%")
			over = paper.Exactly(fmt.Sprintf("%+.1f", in), in, "U")
		}
		if remark != "" {
			remark = "set aside: " + remark
		} else if m.Assumed {
			remark = "nobody stated the uncertainty: a usual one was taken"
		}
		number := paper.Exactly(fmt.Sprint(m.ID), float64(m.ID), "")
		t.Rows = append(t.Rows, []paper.Cell{number, paper.Said(string(m.Property)), foundCell(m), paper.Said(m.Route), paper.Said(dayOf(m)), off, over, paper.Said(remark)})
		for _, line := range readingLines(m.Reading) {
			from.Rows = append(from.Rows, []paper.Cell{number, paper.Said(strings.TrimPrefix(line, "from "))})
		}
	}
	if len(from.Rows) == 0 {
		return []paper.Table{t}
	}
	return []paper.Table{t, from}
}

// stringDoubts say what may be wrong with what is known of a string.
func stringDoubts(x stock.String) []string {
	var all []string
	for _, p := range stock.Properties() {
		if _, a := x.Best(p); a.Disagree() {
			all = append(all, fmt.Sprintf("Measurements of the %s disagree (p = %.2g): its uncertainty was enlarged %.2g times for that. One of them may be of another string, or wrong.", p, a.P, a.Birge))
		}
	}
	if x.ByGauge {
		all = append(all, "Its unit weight was never measured: it is that of a plain wire of its gauge and material.")
	}
	if x.UnitWeight.Value == 0 {
		all = append(all, "Its unit weight is not known: no pull can be told of it.")
	}
	return all
}
