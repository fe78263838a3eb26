package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/cmd/pluckbench/internal/trial"
	"pluckweigh/detect"
)

// newHear is what a contest runs: the detector as a program, so that its
// processor time is taken as that of the others is.
func newHear(b *bench) *cobra.Command {
	return &cobra.Command{
		Use: "hear FILE...", Short: "Print the first partial at rest of each file, 0 where none can be trusted", Hidden: true,
		RunE: func(cmd *cobra.Command, paths []string) error {
			for _, path := range paths {
				hz, err := hearFile(cmd.Context(), path)
				if err != nil {
					return err
				}
				if _, err := fmt.Fprintln(b.out, strconv.FormatFloat(hz, 'g', -1, 64)); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

func hearFile(ctx context.Context, path string) (float64, error) {
	src, err := audio.OpenContext(ctx, path, audio.Options{})
	if err != nil {
		return 0, err
	}
	defer src.Close()
	var x []float64
	for buf := make([]float64, 1<<14); ; {
		n, err := src.Read(ctx, buf)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return 0, err
		}
		x = append(x, buf[:n]...)
	}
	take, err := detect.Analyze(x, src.Rate(), detect.Options{})
	if err != nil || take.Reading == nil {
		return 0, err
	}
	return take.Reading.F1.V, nil
}

// ownName is what the detector is called in tables.
const ownName = "pluckweigh"

// ownListener is this program on one core.
func ownListener(ctx context.Context) (trial.Listener, error) {
	var starts []time.Duration
	for range 7 {
		_, cpu, err := runOwn(ctx)
		if err != nil {
			return trial.Listener{}, err
		}
		starts = append(starts, cpu)
	}
	slices.Sort(starts)
	start := starts[len(starts)/2]
	return trial.Listener{Name: ownName, Rest: true, Hear: func(ctx context.Context, sounds []trial.Sound) ([]float64, time.Duration, error) {
		var paths []string
		for _, s := range sounds {
			paths = append(paths, s.Path)
		}
		hz, cpu, err := runOwn(ctx, paths...)
		return hz, max(0, cpu-start), err
	}}, nil
}

// runOwn runs the hear command and returns its answers and its processor time.
func runOwn(ctx context.Context, paths ...string) ([]float64, time.Duration, error) {
	exe, err := os.Executable()
	if err != nil {
		return nil, 0, err
	}
	var said bytes.Buffer
	cmd := exec.CommandContext(ctx, exe, append([]string{"hear"}, paths...)...)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		return nil, 0, fmt.Errorf("hear: %w: %s", err, strings.TrimSpace(said.String()))
	}
	var hz []float64
	for line := range strings.Lines(string(out)) {
		f, err := strconv.ParseFloat(strings.TrimSpace(line), 64)
		if err != nil {
			return nil, 0, fmt.Errorf("hear printed %q: want a frequency", line)
		}
		hz = append(hz, f)
	}
	return hz, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(), nil
}
