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
	var in instrumentFlags
	cmd := &cobra.Command{
		Use:   "add NAME [--wound] [--unit-weight WEIGHT] ... | add NAME --position LENGTH:NOTE[:SLOT][:KIND]...",
		Short: "Put a string or an instrument into the stock",
		Long: `add puts a string into the stock, with what is known of it, or, with --position, an
instrument: the speaking length and the note of each position, in order, and where it
matters what strings fit there. What its strings should be like is kept too, in the words of
choose (--pull, --slope, --even, --like and so on), and goes for choose, survey and report
where these are not told otherwise.

` + notesHelp,
		Example: `  pluckweigh stock add "E 46" --wound --gauge 1.17mm±0.003mm --unit-weight 18.4g/m±1% --left 3
  pluckweigh stock add tenor --position 863.6mm:E1:3mm --position 850mm:A1 --total 900N
  pluckweigh stock add lyre --division 19 --reference 432Hz --position 400mm:A3 --position 400mm:A3+5steps:plain`,
		Args: oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			ctx := cmd.Context()
			if cmd.Flags().Changed("position") {
				x := stock.Instrument{Name: args[0], A4: physics.ConcertPitch}
				err := in.exclude(cmd)
				if err == nil {
					err = in.apply(cmd, &x)
				}
				if err == nil {
					err = file.change(ctx, func(st *stock.Store) error {
						if err := in.checkLike(ctx, st); err != nil {
							return err
						}
						return st.AddInstrument(ctx, x)
					})
				}
				if err == nil {
					fmt.Fprintf(s.out, "added the instrument %q\n", x.Name)
				}
				return err
			}
			if err := in.none(cmd, "add --position LENGTH:NOTE for each string of the instrument"); err != nil {
				return err
			}
			x := stock.String{String: traits.String{Name: args[0], Left: traits.Uncounted}}
			err := of.apply(cmd, &x)
			if err == nil {
				x.Measurements, err = of.measurements(cmd)
			}
			if err == nil {
				err = file.change(ctx, func(st *stock.Store) error { return st.Add(ctx, x) })
			}
			if err == nil {
				fmt.Fprintf(s.out, "added the string %q\n", x.Name)
			}
			return err
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	of.addTo(f)
	in.addTo(f)
	return cmd
}

// notesHelp says how notes of instruments are written.
const notesHelp = `A note may have cents, as E1-13.7c, be at an interval from a note, as A1*3/2 or A1*-498c, be
counted in steps of another equal division of the octave or of any interval, as A4-41steps
with --division 19, or be a frequency, as 55Hz.`

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

func newStockEdit(s streams, file *stockFile) *cobra.Command {
	var of stringFlags
	var in instrumentFlags
	var change stringChange
	var instrument bool
	cmd := &cobra.Command{
		Use:   "edit NAME",
		Short: "Change what is said of a string or an instrument, or add what was measured",
		Long: `edit changes what is said of a string. --unit-weight, --gauge and --stiffness add a
measurement; none is overwritten. One that is wrong is set aside by its number, as show
lists them, and no longer counts; it stays and may count again.

With --instrument, it changes what is said of an instrument: one position, with its number
before it as in --position 2=850mm:A1, or 2=:A1 where the length stays, or all of them,
without numbers; what its strings should be like, in the words of choose, which --no-wish
takes back.

` + notesHelp,
		Example: `  pluckweigh stock edit "E 46" --left 2
  pluckweigh stock edit "E 46" --gauge 1.168mm±0.002mm --route micrometer
  pluckweigh stock edit "E 46" --set-aside 4 --why "clip had slipped"
  pluckweigh stock edit tenor --instrument --reference 432Hz --position 2=:D2
  pluckweigh stock edit tenor --instrument --slope 180N:150N --within 10N`,
		Args: oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			ctx, name := cmd.Context(), args[0]
			if cmd.Flags().NFlag() == 0 || cmd.Flags().NFlag() == 1 && (instrument || cmd.Flags().Changed("stock")) {
				return &callError{"edit is not told what to change", seeHelp(cmd)}
			}
			var err error
			if instrument {
				if err = in.exclude(cmd, "instrument", "rename"); err == nil {
					err = file.change(ctx, func(st *stock.Store) error {
						if err := in.checkLike(ctx, st); err != nil {
							return err
						}
						return st.EditInstrument(ctx, name, func(x *stock.Instrument) error {
							change.called(cmd, &x.Name)
							return in.apply(cmd, x)
						})
					})
				}
			} else if err = in.none(cmd, "add --instrument, if it is one"); err == nil {
				err = change.string(cmd, file, name, &of)
			}
			if err == nil {
				fmt.Fprintf(s.out, "changed %q\n", name)
			}
			return err
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	of.addTo(f)
	f.StringVar(&change.rename, "rename", "", "new `name` of it")
	f.Int64Var(&change.aside, "set-aside", 0, "`number` of a measurement that is to count no longer")
	f.StringVar(&change.why, "why", "", "what is wrong with it")
	f.Int64Var(&change.again, "count-again", 0, "`number` of a measurement set aside that is to count again")
	f.BoolVar(&instrument, "instrument", false, "NAME is an instrument")
	in.addTo(f)
	return cmd
}

// A stringChange is what an edit changes beside what is said of a new string too.
type stringChange struct {
	rename, why  string
	aside, again int64
}

// called gives a new name.
func (v *stringChange) called(cmd *cobra.Command, name *string) {
	if cmd.Flags().Changed("rename") {
		*name = v.rename
	}
}

// string changes a string.
func (v *stringChange) string(cmd *cobra.Command, file *stockFile, name string, of *stringFlags) error {
	ctx, given := cmd.Context(), cmd.Flags().Changed
	found, err := of.measurements(cmd)
	if err != nil {
		return err
	}
	if given("set-aside") != given("why") {
		return &callError{"--set-aside and --why need each other", `write them like --set-aside 4 --why "clip had slipped"`}
	}
	if given("why") && v.why == "" {
		return &callError{"--why says nothing", "say in a few words what is wrong with the measurement"}
	}
	return file.change(ctx, func(st *stock.Store) error {
		return st.Edit(ctx, name, func(x *stock.String) error {
			if err := of.apply(cmd, x); err != nil {
				return err
			}
			v.called(cmd, &x.Name)
			if given("set-aside") {
				if err := noLonger(x, v.aside, v.why); err != nil {
					return about("set-aside", err)
				}
			}
			if given("count-again") {
				if err := noLonger(x, v.again, ""); err != nil {
					return about("count-again", err)
				}
			}
			x.Measurements = append(x.Measurements, found...)
			return nil
		})
	})
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
string that is used up is better kept, with --left 0: pluckweigh stock edit. An instrument
that the string was on has none at that position then, which is said.`,
		Example: `  pluckweigh stock remove "E 46"
  pluckweigh stock remove --instrument tenor`,
		Args: oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			var was []stock.Place
			err := file.change(cmd.Context(), func(st *stock.Store) (err error) {
				if instrument {
					return st.RemoveInstrument(cmd.Context(), args[0])
				}
				was, err = st.Remove(cmd.Context(), args[0])
				return err
			})
			switch {
			case err != nil:
				return err
			case len(was) > 0:
				fmt.Fprintf(s.out, "removed %q, which was on %s\n", args[0], placesSaid(was))
			default:
				fmt.Fprintf(s.out, "removed %q\n", args[0])
			}
			return nil
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
into a new file, which may be used with --stock, or put in the stock's place: then with no
file beside it that has the stock's name and ends in -wal or -shm.`,
		Example: `  pluckweigh stock backup stock-copy.db`,
		Args:    oneFile("stock-copy.db"),
		RunE: func(cmd *cobra.Command, args []string) error {
			err := file.read(cmd.Context(), func(st *stock.Store) error { return st.Backup(cmd.Context(), args[0]) })
			if err == nil {
				fmt.Fprintf(s.out, "copied the stock into %s\n", args[0])
			}
			return err
		},
	}
}
