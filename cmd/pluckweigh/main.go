// Command pluckweigh listens to a plucked string and says what it weighs and how
// hard it pulls.
package main

import (
	"context"
	"io"
	"log"
	"os"
	"os/signal"
	"syscall"
)

func main() { os.Exit(realMain()) }

// realMain runs the command as the shell started it and returns its exit code.
// The first interrupt ends the listening; a second ends the program.
func realMain() int {
	// The FLAC library writes to the standard logger about sample rates it lacks
	// examples of, a line a frame; nothing of ours does.
	log.SetOutput(io.Discard)
	ctx, stop := interruptible()
	defer stop()
	err := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	report(os.Stderr, err)
	return exitCode(err)
}

// interruptible is a context that ends with the first interrupt.
func interruptible() (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
