// Package audiotest tests implementations of audio.Source against the contract
// written above that interface.
package audiotest

import (
	"errors"
	"testing"
	"time"

	"pluckweigh/audio"
)

// An Option tells Conform what kind of source to expect.
type Option func(*config)

// A config is what Conform knows about the source, by default one that ends
// with io.EOF and delivers the same samples whenever it is opened.
type config struct {
	endless  int           // samples after which reading may wait for ever, or 0
	fails    error         // what the sound ends with instead of io.EOF
	patience time.Duration // what counts as never
}

// Endless announces a source that does not end, such as a microphone, and need
// not deliver the same samples when opened again. It is read for at least the
// given number of samples; after those it may keep a Read waiting for ever.
func Endless(samples int) Option { return func(c *config) { c.endless = samples } }

// FailsWith announces a source that ends with err, as errors.Is has it, and not
// with io.EOF.
func FailsWith(err error) Option { return func(c *config) { c.fails = err } }

// Conform tests that the sources that open returns keep the contract of
// audio.Source. It opens several, one after another, and closes each. Each must
// be able to deliver samples; open reports its own failures to t.
//
// Run it under the race detector too.
func Conform(t *testing.T, open func(t *testing.T) audio.Source, options ...Option) {
	t.Helper()
	// The contract's 2 s, and time to spare for a busy machine.
	c := config{patience: 10 * time.Second}
	for _, o := range options {
		o(&c)
	}
	for _, clause := range clauses {
		t.Run(clause.name, func(t *testing.T) {
			err := clause.check(func() audio.Source { return open(t) }, c)
			if err != nil {
				t.Error(err)
			}
		})
	}
}

// clauses of the contract, each with its check.
var clauses = []struct {
	name  string
	check func(open func() audio.Source, c config) error
}{
	{"reads", checkReads},
	{"empty", checkEmpty},
	{"same", checkSame},
	{"end", checkEnd},
	{"cancelled", checkCancelled},
	{"cancelling", checkCancelling},
	{"close", checkClose},
	{"closing", checkClosing},
}

// errSlow is what a call is said to have returned that did not return.
var errSlow = errors.New("call did not return")

// within runs f and returns errSlow if it takes longer than what counts as
// never. f then goes on: its source is lost for further use.
func (c config) within(f func()) error {
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	timer := time.NewTimer(c.patience)
	defer timer.Stop()
	select {
	case <-done:
		return nil
	case <-timer.C:
		return errSlow
	}
}
