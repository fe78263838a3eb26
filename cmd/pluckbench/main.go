// Command pluckbench is for the upkeep of pluckweigh: it makes test takes and
// measures the detector against the Cramér–Rao bound, recorded notes and general
// pitch detectors.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second interrupt ends the program
	err := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	if err != nil {
		if errors.Is(err, context.Canceled) {
			err = errors.New("interrupted")
		}
		fmt.Fprintln(os.Stderr, "pluckbench:", err)
		os.Exit(1)
	}
}
