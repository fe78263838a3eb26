package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"pluckweigh/stock"
)

func newStockImport(s streams, file *stockFile) *cobra.Command {
	var dry bool
	cmd := &cobra.Command{
		Use:   "import FILE|-",
		Short: "Take strings or instruments over from a list (CSV)",
		Long: `import takes strings over from a list of values parted by commas, semicolons or tabs.
Its first line names the columns, in any order:

    name, kind (plain or wound), material, label, left,
    unit weight (g/m), u of unit weight (g/m), outside diameter (mm), ...,
    core stiffness (N*m2), ..., route, made, degrees of freedom, assumed, set aside,
    reading

Only name must be there. Units stand in the head: those of the tool's quantities, such
as unit weight (lb/in). u is the standard uncertainty, k = 1; where none is given a usual
one is assumed. A string with several measurements has several lines.

A list of instruments has a line for each position, those of one instrument together:

    instrument, reference pitch (Hz), division, most total (N), position,
    speaking length (mm), u of speaking length (mm), assumed, note, kind,
    slot from (mm), slot to (mm), string

Only instrument, speaking length and note must be there. An instrument is taken whole or
not at all.

Good lines are taken, all at once, and bad ones named by their number. What is in stock
already is not overwritten, so that a list may be taken twice; what was not known of a
string is filled in.`,
		Example: `  pluckweigh stock import strings.csv --dry-run
  pluckweigh stock import strings.csv`,
		Args: oneFile("strings.csv"),
		RunE: func(cmd *cobra.Command, args []string) error {
			from, name := s.in, "standard input"
			if args[0] != "-" {
				f, err := os.Open(args[0])
				if err != nil {
					return unreadable(args[0], err)
				}
				defer f.Close()
				if is, err := f.Stat(); err == nil && is.IsDir() {
					return &callError{args[0] + " is a folder", "name a file"}
				}
				from, name = f, args[0]
			}
			in := file
			if dry {
				scratch, drop, err := file.scratch()
				if err != nil {
					return err
				}
				defer drop()
				in = scratch
			}
			var n stock.Imported
			err := in.change(cmd.Context(), func(st *stock.Store) (err error) {
				n, err = st.Import(cmd.Context(), from, dry, func(line int, err error) {
					report(s.err, &callError{fmt.Sprintf("%s, line %d: %s", name, line, err), hintOf(err)})
				})
				return err
			})
			if err != nil {
				return err
			}
			would := ""
			if dry {
				would = "a dry run, nothing was changed: "
			}
			fmt.Fprintf(s.out, "%s%s\n", would, imported(n))
			if n.Bad > 0 {
				return reported(codeCall)
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&dry, "dry-run", false, "say what would come of it, and change nothing")
	return cmd
}

// imported says what came of a list.
func imported(n stock.Imported) string {
	all := []string{fmt.Sprintf("%d new strings and %d new measurements", n.Strings, n.Measurements)}
	if n.OfInstruments {
		all = []string{fmt.Sprintf("%d new instruments", n.Instruments)}
	}
	if n.Filled > 0 {
		all = append(all, fmt.Sprintf("more said of %d that were there", n.Filled))
	}
	return fmt.Sprintf("%s from %d lines, %d of them bad", strings.Join(all, ", "), n.Lines, n.Bad)
}

// unreadable words why a file cannot be read.
func unreadable(name string, err error) error {
	var cause *fs.PathError
	if errors.As(err, &cause) {
		err = cause.Err
	}
	return &callError{fmt.Sprintf("%s: %v", name, err), "name a file that is there and can be read"}
}

func hintOf(err error) string {
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		return hinted.Hint()
	}
	return ""
}

func newStockExport(s streams, file *stockFile) *cobra.Command {
	var instruments, overwrite bool
	cmd := &cobra.Command{
		Use:   "export [FILE]",
		Short: "Write the strings or the instruments as a list (CSV)",
		Long: `export writes all strings, with a line for each measurement, as CSV in UTF-8 that import
reads back to the same numbers, to the last digit: to a new file, or without one to
standard output. With --instruments it writes the instruments, a line for each position,
in a list of their own.`,
		Example: `  pluckweigh stock export strings.csv
  pluckweigh stock export --instruments instruments.csv`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return &callError{"export writes one file, and more are named", seeHelp(cmd)}
			}
			return file.read(cmd.Context(), func(st *stock.Store) error {
				export := st.Export
				if instruments {
					export = st.ExportInstruments
				}
				if len(args) == 0 || args[0] == "-" {
					return export(cmd.Context(), s.out)
				}
				if err := writable(args[0], overwrite); err != nil {
					return err
				}
				return put(args[0], overwrite, func(w io.Writer) error { return export(cmd.Context(), w) })
			})
		},
	}
	cmd.Flags().BoolVar(&instruments, "instruments", false, "write the instruments in place of the strings")
	cmd.Flags().BoolVar(&overwrite, "overwrite", false, "replace a file")
	return cmd
}
