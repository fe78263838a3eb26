package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pluckweigh/calib"
	"pluckweigh/physics"
	"pluckweigh/stock"
)

func newStockShow(s streams, file *stockFile) *cobra.Command {
	var asJSON, instrument bool
	cmd := &cobra.Command{
		Use:   "show NAME",
		Short: "Show all that is known of a string or an instrument",
		Long: `show prints a string with its best values (k = 2), how well the measurements agree of
which these are the mean, the instruments that it is on, and each measurement with its
number.`,
		Example: `  pluckweigh stock show "E 46"
  pluckweigh stock show --instrument tenor`,
		Args: oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			return file.read(cmd.Context(), func(st *stock.Store) error {
				if instrument {
					x, err := st.Instrument(cmd.Context(), args[0])
					if err != nil {
						return err
					}
					if asJSON {
						return writeLine(s.out, newInstrumentJSON(x))
					}
					return writeInstrument(s.out, x)
				}
				x, err := st.String(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				on, err := st.On(cmd.Context(), x.Name)
				if err != nil {
					return err
				}
				if asJSON {
					out := newStringJSON(x)
					out.On = placesJSON(on)
					return writeLine(s.out, out)
				}
				return writeString(s.out, x, on)
			})
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON lines in SI units")
	cmd.Flags().BoolVar(&instrument, "instrument", false, "NAME is an instrument")
	return cmd
}

func writeString(w io.Writer, x stock.String, on []stock.Place) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, x.Name)
	row := func(name, said string) {
		if said != "" {
			fmt.Fprintf(t, "  %s\t%s\n", name, said)
		}
	}
	row("kind", x.Kind.String())
	row("material", x.Material)
	row("labelled", x.Label)
	row("left", leftOf(x))
	row("on", placesSaid(on))
	for _, p := range stock.Properties() {
		row(string(p), bestOf(x, p))
	}
	if err := t.Flush(); err != nil || len(x.Measurements) == 0 {
		return err
	}
	return writeMeasurements(w, x)
}

// placesSaid is places for a person.
func placesSaid(on []stock.Place) string {
	var all []string
	for _, p := range on {
		all = append(all, fmt.Sprintf("position %d of %q", p.Position, p.Instrument))
	}
	return strings.Join(all, ", ")
}

// writeMeasurements lists them, below those that were found together what that was from.
func writeMeasurements(w io.Writer, x stock.String) error {
	var lines bytes.Buffer
	t := tabwriter.NewWriter(&lines, 0, 0, 2, ' ', 0)
	heading := fmt.Sprintf("k = %d", physics.Coverage)
	for _, m := range x.Measurements {
		fmt.Fprintf(t, "    %d\t%s\t%s\t%s\t%s", m.ID, m.Property, m, m.Route, dayOf(m))
		best, a := x.Best(m.Property)
		switch {
		case m.SetAside != "":
			fmt.Fprintf(t, "\tset aside: %s", m.SetAside)
		case a.N > 1:
			relative, over := m.Beside(best)
			fmt.Fprintf(t, "\toff by %+.2f %%, %+.1f U", 100*relative, over)
			heading = fmt.Sprintf("k = %d; off the best value, in percent of it and in U of the measurement", physics.Coverage)
		}
		fmt.Fprintln(t)
	}
	t.Flush()
	fmt.Fprintf(w, "\n  measurements  (%s)\n", heading)
	for i, m := range x.Measurements {
		line, err := lines.ReadString('\n')
		if err != nil {
			return err
		}
		fmt.Fprint(w, line)
		if i+1 < len(x.Measurements) && x.Measurements[i+1].Reading == m.Reading {
			continue
		}
		for _, line := range readingLines(m.Reading) {
			fmt.Fprintln(w, "       "+line)
		}
	}
	return nil
}

// bestOf prints the best value of a property with how well its measurements agree, or
// nothing.
func bestOf(x stock.String, p stock.Property) string {
	m, a := x.Best(p)
	if p == stock.UnitWeight && x.ByGauge {
		return fmt.Sprintf("%s  (k = %d), by its gauge and material: it was never weighed", m, physics.Coverage)
	}
	if a.N == 0 {
		return ""
	}
	return fmt.Sprintf("%s  (k = %d), of %s", m, physics.Coverage, a)
}

func dayOf(m stock.Measurement) string {
	if m.Made.IsZero() {
		return "date not known"
	}
	return calib.Day(m.Made)
}

// readingLines say what a measurement was found from: what source wrote, or what
// somebody did.
func readingLines(text string) []string {
	var all []sourceJSON
	if json.Unmarshal([]byte(text), &all) != nil || len(all) == 0 {
		if text == "" {
			return nil
		}
		return []string{"from " + text}
	}
	var out []string
	for _, s := range all {
		if line := s.String(); line != "" {
			out = append(out, "from "+line)
		}
	}
	return out
}

// String says it to a person.
func (s sourceJSON) String() string {
	var parts []string
	if s.Take != nil {
		parts = append(parts, *s.Take)
	}
	if s.Load != nil {
		parts = append(parts, "under "+*s.Load)
	}
	if r := s.Of; r != nil && r.F0 != nil && r.UF0 != nil {
		heard := "f0 " + expanded(physics.Stated(physics.Frequency(*r.F0), physics.Frequency(*r.UF0)))
		if r.Plucks == 1 {
			parts = append(parts, heard+" of 1 pluck")
		} else {
			parts = append(parts, fmt.Sprintf("%s of %d plucks", heard, r.Plucks))
		}
	}
	if len(s.Inputs) > 0 {
		var in []string
		for _, name := range slices.Sorted(maps.Keys(s.Inputs)) {
			in = append(in, name+" "+s.Inputs[name])
		}
		parts = append(parts, strings.Join(in, ", ")+"  (k = 1)")
	}
	if s.More > 0 {
		parts = append(parts, fmt.Sprintf("%d more", s.More))
	}
	return strings.Join(parts, ", ")
}

func writeInstrument(w io.Writer, x stock.Instrument) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%s: A4 at %s", x.Name, physics.Format(x.A4, 0, 6))
	if d := x.Division.String(); d != "" {
		fmt.Fprintf(t, ", steps of %.6g cents (division %s)", x.Division.Step(), d)
	}
	if x.Most > 0 {
		fmt.Fprintf(t, ", all strings together up to %s", physics.Format(x.Most, 0, 6))
	}
	if x.Wish.Kind != stock.NoWish {
		fmt.Fprintf(t, "\n  wish: %s", wishWhole(x.Wish))
	}
	fmt.Fprintf(t, "\n  \tnote\tspeaking length (k = %d)\n", physics.Coverage)
	for n, p := range x.Positions {
		note := noteOf(p.Note)
		if p.Said != "" {
			note += " (" + p.Said + ")"
		}
		fmt.Fprintf(t, "  %d\t%s\t%s", n+1, note, p.Length.Expanded(physics.Coverage))
		if more := fitting(p); more != "" {
			fmt.Fprintf(t, "\t%s", more)
		}
		fmt.Fprintln(t)
	}
	return t.Flush()
}

// fitting says what strings fit a position, and which is on it.
func fitting(p stock.Position) string {
	var all []string
	if k := p.Kind.String(); k != "" {
		all = append(all, k)
	}
	switch s := p.Slot; {
	case s.Least > 0 && s.Most > 0:
		all = append(all, physics.Format(s.Least, 0, 6)+" to "+physics.Format(s.Most, 0, 6))
	case s.Most > 0:
		all = append(all, "up to "+physics.Format(s.Most, 0, 6))
	case s.Least > 0:
		all = append(all, "from "+physics.Format(s.Least, 0, 6))
	}
	if p.Strung != "" {
		all = append(all, "strung with "+p.Strung)
	}
	return strings.Join(all, ", ")
}
