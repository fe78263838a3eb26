package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/cmd/pluckbench/internal/trial"
)

// results are those of all trials in one run.
type results struct {
	Date    string           `json:"date"`
	Machine string           `json:"machine"`
	Takes   int              `json:"takes_asked"` // of each trial, 0 for their own numbers
	Bound   trial.Efficiency `json:"bound"`
	Hard    trial.Spread     `json:"hard"`
	Rest    trial.Spread     `json:"rest"`
	Real    trial.Recorded   `json:"real"`
	Rivals  trial.Contest    `json:"rivals"`
	Live    []trial.Live     `json:"live"`
}

func newAll(b *bench) *cobra.Command {
	var folder string
	r := results{Machine: fmt.Sprintf("%d cores, %s/%s", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH)}
	cmd := &cobra.Command{
		Use: "all", Short: "all of these, as tables, a document and two pictures", Args: cobra.NoArgs,
		Long: `all runs every trial and prints its goals' table and the rest. With --out it also
leaves accuracy.svg, wrong-notes.svg and bench.md in a folder.`,
		Example: `  pluckbench all --takes 100
  pluckbench all --stream reporting --out docs --machine 'two cores of a shared virtual machine'`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r.Date, r.Takes = time.Now().Format("2 January 2006"), b.takes
			if err := b.all(cmd.Context(), &r); err != nil {
				return err
			}
			if folder != "" {
				if err := r.save(folder); err != nil {
					return err
				}
			}
			if b.json {
				return b.printJSON(r)
			}
			return writeText(b.out, r.tables())
		},
	}
	cmd.Flags().StringVar(&folder, "out", "", "folder for the document and the pictures")
	cmd.Flags().StringVar(&r.Machine, "machine", r.Machine, "the machine, in words for the document")
	return cmd
}

// all runs the trials. The ones that measure time come first.
func (b *bench) all(ctx context.Context, r *results) error {
	if err := one(ctx, b, "live", 0, follow, &r.Live); err != nil {
		return err
	}
	if err := one(ctx, b, "rivals", rivalsTakes, compete, &r.Rivals); err != nil {
		return err
	}
	if err := one(ctx, b, "bound", boundTakes, trial.Bound, &r.Bound); err != nil {
		return err
	}
	if err := one(ctx, b, "hard", hardTakes, trial.Hard, &r.Hard); err != nil {
		return err
	}
	if err := one(ctx, b, "rest", restTakes, trial.Rest, &r.Rest); err != nil {
		return err
	}
	return one(ctx, b, "real", 0, trial.Real, &r.Real)
}

// one runs one trial.
func one[T any](ctx context.Context, b *bench, name string, takes int, try func(context.Context, trial.Options) (T, error), dst *T) error {
	o, err := b.options(name, takes)
	if err != nil {
		return err
	}
	got, err := try(ctx, o)
	b.endProgress()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	*dst = got
	return nil
}

// save leaves the document and the pictures in a folder.
func (r results) save(folder string) error {
	accuracy, err := accuracyChart(r.Bound, r.Rivals).SVG()
	if err != nil {
		return fmt.Errorf("accuracy.svg: %w", err)
	}
	wrong, err := wrongChart(r.Rivals).SVG()
	if err != nil {
		return fmt.Errorf("wrong-notes.svg: %w", err)
	}
	doc, err := r.document()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	for name, data := range map[string][]byte{"accuracy.svg": accuracy, "wrong-notes.svg": wrong, "bench.md": doc} {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o666); err != nil {
			return err
		}
	}
	return nil
}
