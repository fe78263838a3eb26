package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/calib"
	"pluckweigh/physics"
)

func newCalibrateTone(s streams) *cobra.Command {
	var of quantity[physics.Frequency]
	of.role = physics.ReferenceTone
	e := &ears{streams: s, rate: frequency{what: "sample rate", least: audio.MinFileRate, most: audio.MaxFileRate}}
	cmd := &cobra.Command{
		Use:   "tone --of FREQUENCY (--recorder NAME TAKE | [TAKE])",
		Short: "Find how fast a recorder's clock runs, by a tone of known frequency",
		Long: `tone compares what a recorder heard of a steady tone with the tone's true frequency. It
is the way for a recorder that is no sound input of this computer: let it record the
tone, name it with --recorder, and name it so again when its takes are measured. A
name of --recorder that was not used before is a new recorder's. Without a take it
listens to the microphone for half a minute.

The tone must be right to a part per million or better for the comparison to be worth
something: from a frequency standard, a time signal station, or a satellite-disciplined
oscillator. What this computer plays comes from a crystal as good as the recorder's,
or from the same one, and says nothing. Frequency and its standard uncertainty are
given like 440Hz±0.0001Hz; the tone must be alone, steady, and no multiple of the
mains' 50 or 60 Hz.`,
		Example: `  pluckweigh calibrate tone --of 440Hz±0.0001Hz --recorder pocket take.wav
  pluckweigh tension --recorder pocket --scale 34in --unit-weight 18.4g/m pluck.wav
  pluckweigh calibrate tone --of 1kHz±0.001Hz --input usb`,
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.BoolVar(&e.json, "json", false, "print JSON lines in SI units")
	f.Var(&of, "of", "true frequency of the tone, like 440Hz±0.0001Hz")
	f.StringVar(&e.recorder, "recorder", "", "`name` of the recorder that made the take")
	e.addSound(f)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		live := e.live(cmd, args)
		switch {
		case !of.given:
			return &callError{"tone needs the true frequency of the tone", "add it, as in --of 440Hz±0.0001Hz"}
		case of.Assumed:
			return &callError{"--of: how well the tone's frequency is known decides what the comparison is worth",
				"add its standard uncertainty, as in --of " + of.text + "±0.0001%"}
		case len(args) > 1:
			return &callError{"tone takes one recording, and more are named", "name one"}
		case !live && e.recorder == "":
			return &callError{"a file does not say which recorder made it", "name it, as in --recorder pocket"}
		case live && e.recorder != "":
			return errRecorderLive
		}
		if err := e.checkSound(cmd, args); err != nil {
			return err
		}
		name := "-"
		switch {
		case live:
			name = ""
		case len(args) == 1:
			name = args[0]
		}
		return e.tone(cmd.Context(), name, of.Measured)
	}
	return cmd
}

// toneSeconds is how long a microphone listens to a tone where nobody says, s.
const toneSeconds = 30

// tone compares what is heard, live for no name, with a tone of known frequency.
func (e *ears) tone(ctx context.Context, name string, of physics.Measured[physics.Frequency]) error {
	keep, err := newKeeper(e.streams, e.json)
	if err != nil {
		return err
	}
	src, err := e.open(ctx, name)
	if err != nil {
		return err
	}
	defer src.Close()
	recorder := e.recorder
	if name == "" {
		r, ok := src.(audio.Recorder)
		if !ok {
			return errors.New("this sound input does not say what it is")
		}
		recorder = r.Device()
		if e.seconds == 0 {
			e.seconds = toneSeconds
		}
		fmt.Fprintf(e.err, "listening to the tone by %s at %g Hz for %s s; Ctrl-C ends it early\n", recorder, src.Rate(), &e.seconds)
	}
	w, err := e.keep(src.Rate())
	if err != nil {
		return err
	}
	rec := &recording{name: name, rate: src.Rate()}
	line := newStatusLine(e.err)
	err = e.record(ctx, src, rec, w, nil, &progress{line: line})
	line.clear()
	if w != nil {
		err = errors.Join(err, w.Close())
	}
	if errors.Is(err, context.Canceled) && name == "" {
		err = nil // asked to stop: what was heard so far is the take
	}
	if err != nil {
		return err
	}
	if len(rec.damaged()) > 0 {
		return &callError{"samples are missing or damaged in the recording of the tone", "record it again"}
	}
	clock, err := calib.Tone(rec.samples, rec.rate, of)
	if err != nil {
		return err
	}
	return keep.keep(calib.ClockEntry(recorder, rec.rate, clock, time.Now()))
}
