package main

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// nearby is how far a weight may be from one that is sought, as a fraction of it, where
// nobody said.
const nearby = 0.1

// A listing is which strings are listed.
type listing struct {
	kinds
	is   traits.Kind // as they say
	out  bool
	near quantity[physics.UnitWeight]
	json bool
}

func newStockList(s streams, file *stockFile) *cobra.Command {
	v := listing{near: quantity[physics.UnitWeight]{role: physics.StringWeight}}
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the strings and instruments in stock",
		Long: `list shows the strings in stock, each with the best value of its unit weight and its
diameter (k = 2) out of all its measurements, and the instruments. A ! stands where
measurements disagree: see pluckweigh stock show. Flags narrow it down to strings that
are all they say.`,
		Example: `  pluckweigh stock list
  pluckweigh stock list --wound --near 18g/m±3%
  pluckweigh stock list --out --json`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			if v.is, err = v.kind(); err != nil {
				return err
			}
			return file.read(cmd.Context(), func(st *stock.Store) error { return v.list(cmd.Context(), st, s) })
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	v.kinds.addTo(f, "only plain strings", "only wound strings")
	f.Var(&v.near, "near", "only strings of about this unit weight, the nearest first: those within\na tenth, or within the tolerance, like 18g/m±3%")
	f.BoolVar(&v.out, "out", false, "only strings of which none is left")
	f.BoolVar(&v.json, "json", false, "print JSON lines in SI units")
	return cmd
}

// narrowed tells whether only some strings are wanted.
func (v *listing) narrowed() bool { return v.is != traits.EitherKind || v.out || v.near.given }

// takes tells whether a string is wanted.
func (v *listing) takes(x stock.String) bool {
	return (v.is == traits.EitherKind || x.Kind == v.is) && (!v.out || x.Left == 0) &&
		(!v.near.given || x.UnitWeight.Value > 0 && v.off(x) <= v.within())
}

// off is how far a string's weight is from that which is sought, as a fraction of it.
func (v *listing) off(x stock.String) float64 {
	return math.Abs(float64(x.UnitWeight.Value/v.near.Value - 1))
}

// weightOf is a string's unit weight, and whether it was worked out.
func weightOf(x stock.String) string {
	m, _ := x.Best(stock.UnitWeight)
	if x.ByGauge {
		return m.String() + ", by its gauge"
	}
	return orUnknown(x.Best(stock.UnitWeight))
}

func (v *listing) within() float64 {
	if v.near.Assumed {
		return nearby
	}
	return v.near.Relative()
}

func (v *listing) list(ctx context.Context, st *stock.Store, s streams) error {
	w := s.out
	t := &table{w: tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)}
	show := func(x stock.String) error {
		if v.json {
			return writeLine(w, newStringJSON(x))
		}
		t.row("string\tkind\tunit weight (k = 2)\tdiameter (k = 2)\tleft", x.Name, x.Kind, weightOf(x),
			orUnknown(x.Best(stock.Outside)), leftOf(x))
		return nil
	}
	var found []stock.String // that are to be sorted
	for x, err := range st.All(ctx) {
		if err == nil && v.takes(x) {
			if v.near.given {
				found = append(found, x)
			} else {
				err = show(x)
			}
		}
		if err != nil {
			return err
		}
	}
	slices.SortStableFunc(found, func(x, y stock.String) int {
		return cmp.Compare(v.off(x), v.off(y))
	})
	for _, x := range found {
		if err := show(x); err != nil {
			return err
		}
	}
	if err := t.w.Flush(); err != nil {
		return err
	}
	if v.narrowed() {
		if !t.headed && !v.json {
			fmt.Fprintln(s.err, "no string in stock is like that")
		}
		return nil
	}
	all, err := st.Instruments(ctx)
	if err != nil {
		return err
	}
	switch {
	case v.json:
	case len(all) > 0 && t.headed:
		fmt.Fprintln(w)
	case len(all) == 0 && !t.headed:
		fmt.Fprintln(s.err, "nothing is in stock")
	}
	t = &table{w: t.w} // of its own
	for _, x := range all {
		if v.json {
			if err := writeLine(w, newInstrumentJSON(x)); err != nil {
				return err
			}
			continue
		}
		t.row("instrument\tpositions\treference", x.Name, len(x.Positions), "A4 at "+physics.Format(x.A4, 0, 6))
	}
	return t.w.Flush()
}

// A table has a heading above its first row.
type table struct {
	w      *tabwriter.Writer
	headed bool
}

func (t *table) row(heading string, cells ...any) {
	if !t.headed {
		fmt.Fprintln(t.w, heading)
		t.headed = true
	}
	for i, c := range cells {
		if i > 0 {
			fmt.Fprint(t.w, "\t")
		}
		fmt.Fprint(t.w, c)
	}
	fmt.Fprintln(t.w)
}

// orUnknown prints a best value, if there is one, and marks one whose measurements
// disagree.
func orUnknown(m stock.Measurement, a stock.Agreement) string {
	switch {
	case a.N == 0:
		return "-"
	case a.Disagree():
		return m.String() + " !"
	}
	return m.String()
}

func leftOf(x stock.String) string {
	if x.Left == traits.Uncounted {
		return "not counted"
	}
	return fmt.Sprint(x.Left)
}
