package main

import (
	"context"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/detect"
)

// fakeProgram is the program with a microphone that plays the file PLUCKWEIGH_FAKE, as
// fast as it sounds, and then silence. It dies of a panic where PLUCKWEIGH_PANIC says.
func fakeProgram() {
	panics := os.Getenv("PLUCKWEIGH_PANIC")
	s := streams{os.Stdin, &output{w: os.Stdout}, os.Stderr, func(context.Context, mic.Options) (audio.Source, error) {
		src, err := audio.Open(os.Getenv("PLUCKWEIGH_FAKE"), audio.Options{})
		return &paced{Source: src, begun: time.Now(), panics: panics == "reading"}, err
	}}
	root := newRoot(s)
	if panics == "measuring" {
		root = &cobra.Command{}
		e := newEars(s, root)
		e.offerScreen(root)
		e.listen = func([]float64, float64, detect.Options) (detect.Take, error) { panic(panics) }
		root.Args = cobra.ArbitraryArgs
		root.RunE = func(cmd *cobra.Command, _ []string) error { return e.hear(cmd, nil, judge{}) }
	}
	ctx, stop := interruptible()
	err := root.ExecuteContext(ctx)
	report(os.Stderr, err)
	stop()
	os.Exit(exitCode(err))
}

// paced is a source that plays as fast as it sounds.
type paced struct {
	audio.Source
	begun  time.Time
	read   int
	over   bool
	panics bool // once a string rings
}

func (p *paced) Read(ctx context.Context, dst []float64) (int, error) {
	at := float64(p.read) / p.Rate()
	if p.panics && at > 1 {
		panic("reading")
	}
	select {
	case <-ctx.Done():
		return 0, ctx.Err()
	case <-time.After(time.Until(p.begun.Add(time.Duration(at * float64(time.Second))))):
	}
	n, err := 0, error(nil)
	if !p.over {
		n, err = p.Source.Read(ctx, dst)
	}
	if err == io.EOF || p.over {
		p.over, err = true, nil
		clear(dst)
		n = len(dst)
	}
	p.read += n
	return n, err
}
