package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/cmd/pluckbench/internal/trial"
	"pluckweigh/detect/detecttest"
)

// run does what the arguments say: results go to stdout, progress to stderr.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	root := newRoot(&bench{out: stdout, err: stderr})
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return root.ExecuteContext(ctx)
}

// A bench is what all commands are told.
type bench struct {
	out, err io.Writer
	stream   string
	takes    int
	workers  int
	json     bool
}

// Takes of each trial where the call names no number.
const (
	boundTakes  = 2000
	hardTakes   = 3000
	restTakes   = 1000
	rivalsTakes = 300
)

func newRoot(b *bench) *cobra.Command {
	root := &cobra.Command{
		Use:   "pluckbench",
		Short: "Measure the detector against the bound, recorded notes and general libraries",
		Long: `pluckbench draws synthetic takes, listens to them with the detector, and says how
good it was. The tuning stream is for whoever changes the detector; figures that
are published come from the reporting stream, which no threshold was tuned on.`,
		SilenceErrors: true, SilenceUsage: true,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
	}
	f := root.PersistentFlags()
	f.StringVar(&b.stream, "stream", detecttest.Tuning.String(), "tuning or reporting: where takes are drawn from")
	f.IntVar(&b.takes, "takes", 0, "takes of each trial (the default is that of each command)")
	f.IntVar(&b.workers, "workers", runtime.NumCPU(), "takes heard at a time, where time is not measured")
	f.BoolVar(&b.json, "json", false, "print one JSON object instead of tables")
	root.AddCommand(
		command(b, "bound", "RMS error over the Cramér–Rao bound, on clean takes of 2 s", boundTakes, trial.Bound, boundTables),
		command(b, "hard", "wrong notes, refusals and coverage on hard takes", hardTakes, trial.Hard, hardTables),
		command(b, "rest", "error at rest behind a glide and beating", restTakes, trial.Rest, restTables),
		command(b, "real", "recorded notes of the package fluid-soundfont-gm", 0, trial.Real, realTables),
		command(b, "rivals", "the same takes through aubio, Praat and the detector", rivalsTakes, compete, contestTables),
		command(b, "live", "speed of the live tracker", 0, follow, liveTables),
		newAll(b), newHear(b),
	)
	return root
}

// command makes the command of one trial.
func command[T any](b *bench, name, short string, takes int,
	try func(context.Context, trial.Options) (T, error), tables func(T) []table) *cobra.Command {
	return &cobra.Command{
		Use: name, Short: short, Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			o, err := b.options(name, takes)
			if err != nil {
				return err
			}
			result, err := try(cmd.Context(), o)
			b.endProgress()
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			if b.json {
				return b.printJSON(result)
			}
			return writeText(b.out, tables(result))
		},
	}
}

// options are those of a trial; takes is how many it has where the call does not
// say, 0 for all there are.
func (b *bench) options(name string, takes int) (trial.Options, error) {
	s, err := detecttest.ParseStream(b.stream)
	switch {
	case err != nil:
		return trial.Options{}, fmt.Errorf("--stream: %w", err)
	case b.takes < 0:
		return trial.Options{}, errors.New("--takes: a number of takes is not negative")
	case b.workers < 1:
		return trial.Options{}, errors.New("--workers: at least one has to work")
	}
	if b.takes > 0 {
		takes = b.takes
	}
	return trial.Options{Stream: s, Takes: takes, Workers: b.workers, Progress: b.progress(name, time.Now())}, nil
}

func (b *bench) printJSON(v any) error {
	e := json.NewEncoder(b.out)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// follow is trial.Follow, which draws no takes.
func follow(ctx context.Context, _ trial.Options) ([]trial.Live, error) { return trial.Follow(ctx) }

// compete lets the detector and its rivals hear the same sounds.
func compete(ctx context.Context, o trial.Options) (trial.Contest, error) {
	own, err := ownListener(ctx)
	if err != nil {
		return trial.Contest{}, err
	}
	others, err := trial.Rivals(ctx)
	if err != nil {
		return trial.Contest{}, err
	}
	return trial.Compete(ctx, o, append([]trial.Listener{own}, others...))
}
