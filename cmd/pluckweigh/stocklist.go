package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pluckweigh/calib"
	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

func newStockList(s streams, file *stockFile) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the strings and instruments in stock",
		Long: `list shows the strings in stock, each with the best value of its unit weight and its
diameter (k = 2) out of all its measurements, and the instruments. A ! stands where
measurements disagree: see pluckweigh stock show.`,
		Example: `  pluckweigh stock list
  pluckweigh stock list --json`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return file.read(cmd.Context(), func(st *stock.Store) error {
				t := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
				for x, err := range st.All(cmd.Context()) {
					if err != nil {
						return err
					}
					if asJSON {
						if err := writeLine(s.out, newStringJSON(x)); err != nil {
							return err
						}
						continue
					}
					fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", x.Name, x.Kind, orUnknown(x.UnitWeight, x.WeightAgreement),
						orUnknown(x.Outside, x.OutsideAgreement), leftOf(x))
				}
				all, err := st.Instruments(cmd.Context())
				if err != nil {
					return err
				}
				if !asJSON && len(all) > 0 {
					t.Flush() // columns of their own
					fmt.Fprintln(s.out)
				}
				for _, x := range all {
					if asJSON {
						if err := writeLine(s.out, newInstrumentJSON(x)); err != nil {
							return err
						}
						continue
					}
					fmt.Fprintf(t, "%s\t%d positions\tA4 at %s\n", x.Name, len(x.Positions), physics.Format(x.A4, 0, 6))
				}
				return t.Flush()
			})
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON lines in SI units")
	return cmd
}

// orUnknown prints a best value, if there is one, and marks one whose measurements
// disagree.
func orUnknown[Q physics.Quantity](m physics.Measured[Q], a stock.Agreement) string {
	switch {
	case a.N == 0:
		return "-"
	case a.Disagree():
		return m.Expanded(physics.Coverage) + " !"
	}
	return m.Expanded(physics.Coverage)
}

func leftOf(x stock.String) string {
	if x.Left == traits.Uncounted {
		return "not counted"
	}
	return fmt.Sprintf("%d left", x.Left)
}

func newStockShow(s streams, file *stockFile) *cobra.Command {
	var asJSON, instrument bool
	cmd := &cobra.Command{
		Use:   "show NAME",
		Short: "Show all that is known of a string or an instrument",
		Long: `show prints a string with its best values (k = 2), how well the measurements agree of
which these are the mean, and each measurement with its number.`,
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
				if asJSON {
					return writeLine(s.out, newStringJSON(x))
				}
				return writeString(s.out, x)
			})
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON lines in SI units")
	cmd.Flags().BoolVar(&instrument, "instrument", false, "NAME is an instrument")
	return cmd
}

func writeString(w io.Writer, x stock.String) error {
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
	row("there are", leftOf(x))
	row(string(stock.UnitWeight), best(x.UnitWeight, x.WeightAgreement))
	row(string(stock.Outside), best(x.Outside, x.OutsideAgreement))
	row(string(stock.Stiffness), best(x.Stiffness, x.StiffnessAgreement))
	if err := t.Flush(); err != nil || len(x.Measurements) == 0 {
		return err
	}
	fmt.Fprintf(t, "\n  measurements  (k = %d)\n", physics.Coverage)
	for _, m := range x.Measurements {
		day, aside := "date not known", ""
		if !m.Made.IsZero() {
			day = calib.Day(m.Made)
		}
		if m.SetAside != "" {
			aside = "\tset aside: " + m.SetAside
		}
		fmt.Fprintf(t, "    %d\t%s\t%s\t%s\t%s%s\n", m.ID, m.Property, m, m.Route, day, aside)
	}
	return t.Flush()
}

// best prints a best value with how well its measurements agree, or nothing.
func best[Q physics.Quantity](m physics.Measured[Q], a stock.Agreement) string {
	if a.N == 0 {
		return ""
	}
	return fmt.Sprintf("%s  %s", m.Expanded(physics.Coverage), a)
}

func writeInstrument(w io.Writer, x stock.Instrument) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%s: A4 at %s", x.Name, physics.Format(x.A4, 0, 6))
	if x.Most > 0 {
		fmt.Fprintf(t, ", all strings together up to %s", physics.Format(x.Most, 0, 6))
	}
	fmt.Fprintln(t)
	for n, p := range x.Positions {
		more := "\t"
		if p.Slot > 0 {
			more += "up to " + physics.Format(p.Slot, 0, 6) + ", "
		}
		if p.Strung != "" {
			more += "strung with " + p.Strung
		}
		fmt.Fprintf(t, "  %d\t%s\t%s%s\n", n+1, noteOf(p.Note), p.Length.Expanded(physics.Coverage), strings.TrimRight(more, "\t, "))
	}
	return t.Flush()
}
