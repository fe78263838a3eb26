package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/calib"
)

// A counting is a count of a recorder's samples against the system's clock.
type counting struct {
	streams
	json    bool
	input   string
	seconds seconds
	rate    frequency
	system  ppm
	verbose bool
}

func newCalibrateClock(s streams) *cobra.Command {
	c := &counting{streams: s, seconds: 180, rate: frequency{what: "sample rate", least: audio.MinFileRate, most: audio.MaxFileRate}}
	cmd := &cobra.Command{
		Use:   "clock",
		Short: "Find how fast a microphone's clock runs, by counting samples",
		Long: `clock counts the samples of a microphone against the system's clock for some minutes:
nothing need sound. Ctrl-C ends it early, with what has been counted. Recorders are
off by up to some hundred parts per million; 100 ppm is 0.17 cent and 0.02 % of
tension.

The system's clock must be right itself: network time should keep it, and what the
system says of that decides which uncertainty is assumed of its rate, unless
--system-ppm says. From microphone to program goes the least time that is needed, at
best, and more where something is busy; the count looks for the least. A sound server
that hands samples out by the system's clock instead of the device's cannot be seen
through: compare with a tone then (pluckweigh calibrate tone).

What is found is applied to all that is heard from this microphone at this sample
rate, for a year, with 3 ppm added for ageing and for another room's temperature.`,
		Example: `  pluckweigh calibrate clock
  pluckweigh calibrate clock --input usb --seconds 600`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, args []string) error { return c.run(cmd.Context()) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.BoolVar(&c.json, "json", false, "print JSON lines in SI units")
	f.StringVar(&c.input, "input", "", "sound input to calibrate, by (part of) its `name`; see pluckweigh devices")
	f.Var(&c.seconds, "seconds", "how long to count")
	f.Var(&c.rate, "rate", "sample rate, like 48kHz (default the input's own)")
	f.Var(&c.system, "system-ppm", "standard uncertainty of the system clock's rate, like 0.5 (default by what the system says)")
	f.BoolVar(&c.verbose, "verbose", false, "let through what the sound libraries say")
	return cmd
}

func (c *counting) run(ctx context.Context) error {
	if c.seconds < calib.LeastCount+1 {
		return &callError{fmt.Sprintf("--seconds: %s s is too short to count", &c.seconds), "count for three minutes, as in --seconds 180"}
	}
	ref := calib.SystemClock()
	if c.system > 0 {
		ref = calib.StatedReference(float64(c.system))
	}
	keep, err := newKeeper(c.streams, c.json)
	if err != nil {
		return err
	}
	src, err := c.openMic(ctx, mic.Options{Device: c.input, Rate: float64(c.rate.hz), Verbose: c.verbose})
	if err != nil {
		return err
	}
	defer src.Close()
	device, ok := src.(audio.Recorder)
	if !ok {
		return errors.New("this sound input does not say when its samples come")
	}
	fmt.Fprintf(c.err, "counting the samples of %s at %g Hz for %s s; Ctrl-C ends it early\n", device.Device(), src.Rate(), &c.seconds)
	ticks, err := c.count(ctx, device, ref)
	if err != nil {
		return err
	}
	src.Close()
	clock, err := calib.Count(ticks, src.Rate(), ref)
	if err != nil {
		return err
	}
	if ref.Adrift {
		fmt.Fprintln(c.err, "caution: nothing keeps the system's clock right, so that little is won: let network time keep it, and calibrate again")
	}
	return keep.keep(calib.ClockEntry(device.Device(), src.Rate(), clock, time.Now()))
}

// count listens until it has been long enough or is asked to stop.
func (c *counting) count(ctx context.Context, src audio.Recorder, ref calib.Reference) ([]calib.Tick, error) {
	line := newStatusLine(c.err)
	defer line.clear()
	var ticks []calib.Tick
	buf := make([]float64, max(1, int(src.Rate()/10)))
	for shown := 0.0; ; {
		_, err := src.Read(ctx, buf)
		for _, a := range src.Arrivals() {
			ticks = append(ticks, calib.Tick{Samples: a.Samples, Seconds: a.At.Seconds(), Gap: a.Gap})
		}
		if err != nil && !errors.Is(err, context.Canceled) {
			return nil, err
		}
		lasted := calib.Lasted(ticks)
		if err != nil || lasted >= float64(c.seconds) {
			return ticks, nil
		}
		if lasted-shown >= 1 {
			shown = lasted
			say := fmt.Sprintf("%.0f of %s s", lasted, &c.seconds)
			if soFar, err := calib.Count(ticks, src.Rate(), ref); err == nil {
				say += fmt.Sprintf(": %+.1f ppm so far, +- %.1f", soFar.PPM, 2*soFar.U)
			}
			line.set(say)
		}
	}
}
