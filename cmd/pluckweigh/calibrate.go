package main

import (
	"errors"
	"fmt"
	"io/fs"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/calib"
	"pluckweigh/physics"
)

func newCalibrate(s streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "calibrate",
		Short: "Measure once what every reading owes to the equipment",
		Long: `calibrate measures what a reading owes to the equipment, and keeps it with its
uncertainty for a year: the clock of a recorder, which shifts every pitch; the
friction of a rig and its weights; the speaking length of a string, ends included.

What is kept lies in one readable file in the user's data folder (XDG_DATA_HOME, or
what the system has for it). The clock of a microphone is applied by itself to all
that is heard from it at the same sample rate; the others where they are named.`,
		Example: `  pluckweigh calibrate clock --input usb
  pluckweigh calibrate list`,
		Args: unknownCommand,
		RunE: func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newCalibrateClock(s), newCalibrateTone(s), newCalibrateRig(s), newCalibrateLength(s), newCalibrateList(s), newCalibrateForget(s))
	return cmd
}

// A keeper keeps a calibration and says so.
type keeper struct {
	streams
	json  bool
	store *calib.Store

	figure *figure // what an entry's value comes from; may be nil
}

// newKeeper makes sure beforehand that something can be kept: what took minutes to
// measure should not be lost.
func newKeeper(s streams, json bool) (*keeper, error) {
	store, err := userStore()
	if err != nil {
		return nil, err
	}
	if err := store.Writable(); err != nil {
		return nil, unkept(store, err)
	}
	return &keeper{streams: s, json: json, store: store}, nil
}

// unkept words why nothing can be kept.
func unkept(store *calib.Store, err error) error {
	var cannot *fs.PathError
	if errors.As(err, &cannot) {
		return &callError{fmt.Sprintf("%s: calibrations cannot be kept there: %v", store.Path(), cannot.Err),
			"make the folder writable, or name another with XDG_DATA_HOME"}
	}
	return storeError(err)
}

// keep keeps an entry and prints it.
func (k *keeper) keep(e calib.Entry) error {
	e, aside, err := k.store.Put(e)
	if err != nil {
		return unkept(k.store, err)
	}
	if aside != "" {
		fmt.Fprintf(k.err, "the calibrations kept could not be read: the file is now %s, and a new one begun\n", aside)
	}
	if e.Kind == calib.ClockKind && e.Measured().Odd() {
		fmt.Fprintf(k.err, "%+.0f ppm is more than a crystal is off by: check the tone and the sample rate, and if one was wrong, pluckweigh calibrate forget %s\n",
			e.Value, e.ID)
	}
	if k.json {
		j := newCalibrationJSON(e)
		if k.figure != nil {
			account := newAccountJSON(k.figure)
			j.Budget, j.accountJSON = budgetJSON(k.figure.budget), &account
		}
		return writeLine(k.out, j)
	}
	fmt.Fprintln(k.out, title(e))
	if k.figure != nil {
		t := tabwriter.NewWriter(k.out, 0, 0, 2, ' ', 0)
		k.figure.write(t)
		if err := t.Flush(); err != nil {
			return unwritten{err}
		}
		fmt.Fprintln(k.out)
	} else {
		fmt.Fprintf(k.out, "  %s\n", value(e))
	}
	fmt.Fprintf(k.out, "  %s\n", e.How)
	fmt.Fprintf(k.out, "\n  kept as %s until %s\n", e.ID, calib.Day(e.Expires))
	return nil
}

// title names what was calibrated.
func title(e calib.Entry) string {
	if e.Kind == calib.ClockKind {
		return fmt.Sprintf("%s at %g Hz", e.Name, e.Rate)
	}
	return e.Name
}

// value is what came of a calibration, expanded, for a person.
func value(e calib.Entry) string {
	said := ""
	switch e.Kind {
	case calib.ClockKind:
		said = fmt.Sprintf("clock %s", e.Measured())
	case calib.RigKind:
		said = fmt.Sprintf("friction %s, weights %s", e.Rig().FrictionString(), e.Rig().WeightsString())
	case calib.LengthKind:
		said = fmt.Sprintf("speaking length %s", e.Length().Expanded(physics.Coverage))
	}
	return fmt.Sprintf("%s  (k = %d)", said, physics.Coverage)
}

// A calibrationJSON is an entry, and what its value comes from where that was just
// worked out.
type calibrationJSON struct {
	calib.Entry
	Expired bool       `json:"expired"`
	Budget  []termJSON `json:"budget,omitempty"`
	*accountJSON
}

func newCalibrationJSON(e calib.Entry) calibrationJSON {
	return calibrationJSON{Entry: e, Expired: e.Expired(time.Now())}
}
