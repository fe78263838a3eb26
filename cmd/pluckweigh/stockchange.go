package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

func newStockAdd(s streams, file *stockFile) *cobra.Command {
	var of stringFlags
	reference := frequency{hz: physics.ConcertPitch, what: "reference pitch", least: 300, most: 600}
	places := positions{a4: &reference}
	total := quantity[physics.Force]{role: "pull of all strings"}
	cmd := &cobra.Command{
		Use:   "add NAME [--wound] [--unit-weight WEIGHT] ... | add NAME --position LENGTH:NOTE[:SLOT]...",
		Short: "Put a string or an instrument into the stock",
		Long: `add puts a string into the stock, with what is known of it, or, with --position, an
instrument: the speaking length and the note of each position, in order, and where it
matters the widest string that fits the nut there. Notes may have cents, as E1-13.7c,
or be given in hertz.`,
		Example: `  pluckweigh stock add "E 46" --wound --gauge 1.17mm±0.003mm --unit-weight 18.4g/m±1% --left 3
  pluckweigh stock add tenor --position 863.6mm:E1:3mm --position 850mm:A1 --total 900N`,
		Args: oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(places.texts) > 0 {
				if err := only(cmd, "is of a string, and --position of an instrument", "position", "reference", "total", "stock"); err != nil {
					return err
				}
				if err := places.parse(); err != nil {
					return about("position", err)
				}
				x := stock.Instrument{Name: args[0], A4: reference.hz, Most: total.Value, Positions: places.all}
				err := file.change(cmd.Context(), func(st *stock.Store) error { return st.AddInstrument(cmd.Context(), x) })
				if err == nil {
					fmt.Fprintf(s.out, "added the instrument %q\n", x.Name)
				}
				return err
			}
			for _, f := range []string{"reference", "total"} {
				if cmd.Flags().Changed(f) {
					return &callError{fmt.Sprintf("--%s is of an instrument, and no --position is given", f), "add --position LENGTH:NOTE for each string"}
				}
			}
			x := stock.String{String: traits.String{Name: args[0], Left: traits.Uncounted}}
			err := of.apply(cmd, &x)
			if err == nil {
				x.Measurements, err = of.measurements(cmd)
			}
			if err != nil {
				return err
			}
			err = file.change(cmd.Context(), func(st *stock.Store) error { return st.Add(cmd.Context(), x) })
			if err == nil {
				fmt.Fprintf(s.out, "added the string %q\n", x.Name)
			}
			return err
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	of.addTo(f)
	f.Var(&places, "position", "speaking length and note, like 863.6mm:A1, and the widest string that\nfits the nut, like 863.6mm:A1:1.4mm; once for each string of an instrument")
	f.Var(&reference, "reference", "reference pitch of an instrument: the frequency of A4")
	f.Var(&total, "total", "pull of all strings together that an instrument's builder allows, like 900N")
	return cmd
}

// only refuses flags given that are not among the names.
func only(cmd *cobra.Command, why string, names ...string) error {
	var odd error
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if odd == nil && !slices.Contains(names, f.Name) {
			odd = &callError{fmt.Sprintf("--%s %s", f.Name, why), "leave one of the two out"}
		}
	})
	return odd
}

func newStockEdit(file *stockFile) *cobra.Command {
	var of stringFlags
	var rename, why string
	var aside, again int64
	cmd := &cobra.Command{
		Use:   "edit NAME",
		Short: "Change what is said of a string, or add what was measured",
		Long: `edit changes what is said of a string. --unit-weight, --gauge and --stiffness add a
measurement; none is overwritten. One that is wrong is set aside by its number, as show
lists them, and no longer counts; it stays and may count again.`,
		Example: `  pluckweigh stock edit "E 46" --left 2
  pluckweigh stock edit "E 46" --gauge 1.168mm±0.002mm --route micrometer
  pluckweigh stock edit "E 46" --set-aside 4 --why "clip had slipped"`,
		Args: oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			ctx, name, given := cmd.Context(), args[0], cmd.Flags().Changed
			found, err := of.measurements(cmd)
			if err != nil {
				return err
			}
			if given("set-aside") != given("why") {
				return &callError{"--set-aside and --why need each other", `write them like --set-aside 4 --why "clip had slipped"`}
			}
			if given("why") && why == "" {
				return &callError{"--why says nothing", "say in a few words what is wrong with the measurement"}
			}
			return file.change(ctx, func(st *stock.Store) error {
				return st.Edit(ctx, name, func(x *stock.String) error {
					if err := of.apply(cmd, x); err != nil {
						return err
					}
					if given("rename") {
						x.Name = rename
					}
					if given("set-aside") {
						if err := noLonger(x, aside, why); err != nil {
							return about("set-aside", err)
						}
					}
					if given("count-again") {
						if err := noLonger(x, again, ""); err != nil {
							return about("count-again", err)
						}
					}
					x.Measurements = append(x.Measurements, found...)
					return nil
				})
			})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	of.addTo(f)
	f.StringVar(&rename, "rename", "", "new `name` of it")
	f.Int64Var(&aside, "set-aside", 0, "`number` of a measurement that is to count no longer")
	f.StringVar(&why, "why", "", "what is wrong with it")
	f.Int64Var(&again, "count-again", 0, "`number` of a measurement set aside that is to count again")
	return cmd
}

// noLonger sets the measurement of a number aside, or has it count for no reason why
// not.
func noLonger(x *stock.String, id int64, why string) error {
	for i := range x.Measurements {
		if m := &x.Measurements[i]; m.ID == id {
			m.SetAside = why
			return nil
		}
	}
	return &callError{fmt.Sprintf("%q has no measurement %d", x.Name, id), "see `pluckweigh stock show`"}
}

func newStockRemove(s streams, file *stockFile) *cobra.Command {
	var instrument bool
	cmd := &cobra.Command{
		Use:   "remove NAME",
		Short: "Drop a string with all that was measured of it, or an instrument",
		Long: `remove drops a string from the stock, with all its measurements, or an instrument. A
string that is used up is better kept, with --left 0: pluckweigh stock edit.`,
		Example: `  pluckweigh stock remove "E 46"
  pluckweigh stock remove --instrument tenor`,
		Args: oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			err := file.change(cmd.Context(), func(st *stock.Store) error {
				if instrument {
					return st.RemoveInstrument(cmd.Context(), args[0])
				}
				return st.Remove(cmd.Context(), args[0])
			})
			if err == nil {
				fmt.Fprintf(s.out, "removed %q\n", args[0])
			}
			return err
		},
	}
	cmd.Flags().BoolVar(&instrument, "instrument", false, "NAME is an instrument")
	return cmd
}

func newStockBackup(s streams, file *stockFile) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the whole stock into a new file",
		Long: `backup copies the stock as it is at this moment, whatever other programs do with it,
into a new file, which may be used with --stock, or put in the stock's place.`,
		Example: `  pluckweigh stock backup stock-copy.db`,
		Args:    oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			err := file.read(cmd.Context(), func(st *stock.Store) error { return st.Backup(cmd.Context(), args[0]) })
			if err == nil {
				fmt.Fprintf(s.out, "copied the stock into %s\n", args[0])
			}
			return err
		},
	}
}
