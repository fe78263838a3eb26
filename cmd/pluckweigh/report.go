package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	paper "pluckweigh/report"
	"pluckweigh/stock"
)

// reporting is where a report is written to.
type reporting struct {
	streams
	file      stockFile
	html, csv string
	json      bool
	overwrite bool
}

func newReport(s streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Hand over what was found: a page to print, a list, and JSON",
		Long: `report writes down what the stock knows of a string, an instrument or a string that was
watched: what was measured, with what, how well it is known and what that is owed to, what
may be wrong with it, and what a second workshop needs to find the same.

--html writes one page that loads nothing from anywhere and prints on A4 and Letter;
--csv a list with a line for each cell of its tables; --json prints it. All have the same
numbers. What the stock does not keep is said to be not kept. Nothing is measured anew.

Results carry twice their standard uncertainty, k = 2; u in --csv and --json is the
standard one.`,
		Example: `  pluckweigh report instrument tenor --html tenor.html
  pluckweigh report string "E 46" --html e46.html --csv e46.csv
  pluckweigh report settle "tenor E" --json`,
		Args: unknownCommand,
		RunE: func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	r := &reporting{streams: s}
	r.file.addTo(cmd.PersistentFlags())
	r.addTo(cmd.PersistentFlags())
	cmd.AddCommand(newReportInstrument(r), newReportString(r), newReportSettle(r))
	return cmd
}

func (r *reporting) addTo(f *pflag.FlagSet) {
	f.SortFlags = false
	f.StringVar(&r.html, "html", "", "write it as a page in this `file`")
	f.StringVar(&r.csv, "csv", "", "write its numbers as a list in this `file`")
	f.BoolVar(&r.json, "json", false, "print it as JSON in SI units")
	f.BoolVar(&r.overwrite, "overwrite", false, "replace files that are there already")
}

// check refuses what could not be written, before anything is read.
func (r *reporting) check() error {
	switch {
	case r.html == "" && r.csv == "" && !r.json:
		return &callError{"report needs to know where to write", "add --html report.html, --csv report.csv or --json"}
	case r.html == "-" || r.csv == "-":
		return &callError{"a page and a list are written to files, not to standard output", "name a file; --json is printed"}
	case r.html != "" && r.html == r.csv:
		return &callError{fmt.Sprintf("--html and --csv both name %s", r.html), "name two files"}
	}
	kept, err := r.file.path()
	if err != nil {
		return err
	}
	for _, name := range []string{r.html, r.csv} {
		if name == "" {
			continue
		}
		if same(name, kept) {
			return &callError{name + " is the stock itself", "name another file"}
		}
		if err := writable(name, r.overwrite); err != nil {
			return err
		}
	}
	return nil
}

// same tells whether two names are of one file that is there.
func same(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

// run has a report made out of the stock, and writes it.
func (r *reporting) run(ctx context.Context, of func(context.Context, *stock.Store) (*paper.Document, error)) error {
	if err := r.check(); err != nil {
		return err
	}
	var d *paper.Document
	if err := r.file.read(ctx, func(st *stock.Store) (err error) {
		d, err = of(ctx, st)
		return err
	}); err != nil {
		return err
	}
	d.Program, d.Made = "pluckweigh "+version(), time.Now().Truncate(time.Second)
	for _, to := range []struct {
		name  string
		write func(io.Writer) error
	}{{r.html, d.WriteHTML}, {r.csv, d.WriteCSV}} {
		if to.name == "" {
			continue
		}
		if err := put(to.name, r.overwrite, to.write); err != nil {
			return err
		}
		fmt.Fprintf(r.err, "wrote %s\n", to.name)
	}
	if r.json {
		return d.WriteJSON(r.out)
	}
	return nil
}
