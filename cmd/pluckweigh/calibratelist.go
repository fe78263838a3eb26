package main

import (
	"fmt"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/calib"
)

func newCalibrateList(s streams) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List what has been calibrated",
		Long: `list shows what has been calibrated, with its expanded uncertainty (k = 2), when, and
until when it is applied. With --json the uncertainty is the standard one.`,
		Example: `  pluckweigh calibrate list
  pluckweigh calibrate list --json`,
		Args: noArguments,
		RunE: func(*cobra.Command, []string) error {
			all, err := kept()
			if err != nil {
				return err
			}
			if asJSON {
				for _, e := range all {
					if err := writeLine(s.out, newCalibrationJSON(e)); err != nil {
						return err
					}
				}
				return nil
			}
			if len(all) == 0 {
				fmt.Fprintln(s.err, "nothing has been calibrated yet: see `pluckweigh calibrate --help`")
				return nil
			}
			t := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
			for _, e := range all {
				until := "until " + calib.Day(e.Expires)
				if e.Expired(time.Now()) {
					until = "too old since " + calib.Day(e.Expires) + ", not applied"
				}
				fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", e.ID, title(e), value(e), calib.Day(e.Made), until)
			}
			return t.Flush()
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON lines in SI units")
	return cmd
}

func newCalibrateForget(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "forget NAME|ID",
		Short: "Drop a calibration",
		Long: `forget drops one calibration by its ID, or all of a name, as list shows them, and says
what it dropped.`,
		Example: `  pluckweigh calibrate forget clock-1
  pluckweigh calibrate forget 'default (ALSA)'`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &callError{"forget needs one name or ID", "see `pluckweigh calibrate list`"}
			}
			store, err := userStore()
			if err != nil {
				return err
			}
			gone, err := store.Forget(args[0])
			if err != nil {
				return unkept(store, err)
			}
			if len(gone) == 0 {
				return &callError{fmt.Sprintf("no calibration is called %q", args[0]), "see `pluckweigh calibrate list`"}
			}
			for _, e := range gone {
				fmt.Fprintf(s.out, "forgot %s: %s, %s\n", e.ID, title(e), value(e))
			}
			return nil
		},
	}
}
