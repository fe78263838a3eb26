package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/audio/synth"
	"pluckweigh/calib"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// demoString is an invented bass string of a wound build: made up for the
// demonstration, not measured on any real one.
var demoString = synth.String{
	Length:         0.8636,
	Tension:        163.2,
	UnitWeight:     0.01834,
	Stiffness:      7.6e-4, // of a steel core of 0.53 mm, about
	AxialStiffness: 4.5e4,  // of the same core
	Decay:          synth.Decay{Base: 0.9, Rise: 4},
}

// demoTake is a recording of it as a plain microphone might make it.
var demoTake = synth.Take{
	String: demoString,
	Plucks: []synth.Pluck{
		{At: 0.4, Height: 0.002, Point: 0.17, Width: 0.012},
		{At: 3.2, Height: 0.0015, Point: 0.21, Width: 0.012},
	},
	Pickup:   synth.Pickup{Senses: synth.Velocity, At: 0.12},
	Rate:     48000,
	Seconds:  6,
	Level:    -9,
	HighPass: synth.HighPass{Corner: 70, Order: 2},
	Hum:      synth.Hum{Freq: 50, Level: -70, Harmonics: 3},
	Noise:    []synth.Noise{{Color: synth.Pink, DB: 40}},
	Bits:     24,
	Seed:     1,
}

func newDemo(s streams) *cobra.Command {
	var save string
	var overwrite bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Watch an invented string being heard and weighed",
		Long: `demo makes up a bass string whose tension and unit weight are known exactly, renders
two plucks of it to a WAV file with noise, hum and a microphone that loses low
notes, listens to that file as to any other, and shows the truth beside what was
heard. No microphone is needed.`,
		Example: `  pluckweigh demo
  pluckweigh demo --save take.wav
  pluckweigh tension --scale 863.6mm --unit-weight 18.34g/m --ends pinned take.wav`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, args []string) error {
			if overwrite && save == "" {
				return errNothingOverwritten
			}
			return demo(cmd.Context(), s.out, save, overwrite)
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&save, "save", "", "keep the take in this WAV `file`")
	cmd.Flags().BoolVar(&overwrite, "overwrite", false, "let --save replace a file")
	return cmd
}

// demo tells the story of the invented string.
func demo(ctx context.Context, w io.Writer, save string, overwrite bool) error {
	e := &ears{streams: streams{out: w, err: io.Discard}, save: save, overwrite: overwrite, reference: frequency{hz: physics.ConcertPitch}}
	path := save
	if path == "" {
		dir, err := os.MkdirTemp("", "pluckweigh")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		path = filepath.Join(dir, "take.wav")
		e.save = path
	}
	if err := e.renderDemo(); err != nil {
		return err
	}
	src, err := audio.OpenContext(ctx, path, audio.Options{})
	if err != nil {
		return err
	}
	defer src.Close()
	rec := &recording{name: path, rate: src.Rate()}
	if err := e.record(ctx, src, rec, nil, nil, &progress{line: &statusLine{}}); err != nil {
		return err
	}
	a, err := e.measure(rec)
	if err != nil {
		return err
	}
	if !a.trusted() {
		if err := a.writeTable(w); err != nil {
			return err
		}
		return a.untrusted()
	}
	return tellDemo(w, a, save)
}

// renderDemo writes the take to where e saves.
func (e *ears) renderDemo() error {
	out, err := e.keep(demoTake.Rate)
	if err != nil {
		return err
	}
	x, _, err := demoTake.Render()
	if err == nil {
		err = out.Write(x)
	}
	if err := errors.Join(err, out.Close()); err != nil {
		return failure{err}
	}
	return nil
}

// demoInputs is what the listener is told, at the tolerances that a rule, a
// balance and a set of weights reach.
func demoInputs() (physics.Measured[physics.Length], physics.Measured[physics.UnitWeight], physics.Measured[physics.Force]) {
	s := demoString
	length := physics.Stated(physics.Length(s.Length), 0.5*physics.Millimetre).As(physics.Millimetre)
	weight := physics.Stated(physics.UnitWeight(s.UnitWeight), 0.03*physics.GramPerMetre).As(physics.GramPerMetre)
	pull := physics.Stated(physics.Force(s.Tension), 0.2*physics.Newton).As(physics.Newton)
	return length, weight, pull
}

func tellDemo(w io.Writer, a *answer, save string) error {
	length, weight, pull := demoInputs()
	reading := heard{*a.take.Reading, calib.Uncalibrated()}
	tension, err := tensionOf(reading, length, weight, physics.EndsPinned)
	if err != nil {
		return err
	}
	unitWeight, err := pulledWeight(reading, length, physics.Loading{Load: physics.Load{Force: pull}}, physics.EndsPinned)
	if err != nil {
		return err
	}
	s, r, best := demoString, a.take.Reading, a.take.Plucks[a.loudest()]
	b := physics.Stated(physics.Inharmonicity(r.B.V), physics.Inharmonicity(r.B.U))
	fmt.Fprintf(w, `An invented bass string, plucked twice; no microphone is needed.
  speaking length %s, unit weight %s, pulling %s
  so f0 = %s and B = %.3g, by its own numbers
What is told carries its standard uncertainty (k = 1), what is heard twice that (k = 2).

`, length.Expanded(0), weight.Expanded(0), pull.Expanded(0), hertz(detect.Value{V: s.F0()}).Expanded(0), s.B())
	fmt.Fprintf(w, `Heard from the recording (noise, hum, a microphone that loses low notes)
  note      %s
  f0        %s
  B         %s
  partials  %s

`, noteOf(*a.note), expanded(hertz(r.F0)), expanded(b), numbers(best.Partials))
	fmt.Fprintf(w, `Tension, told the length (%s) and the unit weight (%s)
  heard     %s
  truth     %s

`, length.Expanded(1), weight.Expanded(1), tension.expanded, pull.Expanded(0))
	fmt.Fprintf(w, `Unit weight, told the length and the pull (%s)
  heard     %s
  truth     %s

`, pull.Expanded(1), unitWeight.expanded, weight.Expanded(0))
	fmt.Fprintf(w, `How far partials lie above multiples of f0 (cents): the dots end where the law of
a stiff string puts them at the truth, o is where they were heard (pluck %d)
`, a.loudest()+1)
	writeLadder(w, best.Partials, s)
	if save != "" {
		fmt.Fprintf(w, `
The take is in %s. Measure it again with
  pluckweigh tension --scale 863.6mm --unit-weight 18.34g/m --ends pinned %s
`, save, save)
	}
	return nil
}
