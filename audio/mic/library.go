//go:build cgo && !nomic

package mic

import (
	"context"
	"fmt"
	"sync"
	"time"

	"github.com/gordonklaus/portaudio"

	"pluckweigh/audio"
)

// turn is held by the one goroutine that may call PortAudio, which is a
// process-wide library, not safe for concurrent use. What this package keeps
// outside its values is what that forces on it: turn, users, whether
// skipLowNumbers has run, and where hush has put C's stream.
var turn = make(chan struct{}, 1)

// users counts what needs PortAudio started. Guarded by turn.
var users int

// call runs f when its turn has come, and waits for it until ctx ends or bound
// has passed. A sound server that hangs makes PortAudio hang, and nothing can
// wake a thread in there: f is then left behind, keeping its turn, so that later
// calls fail with ErrStuck rather than meet it. If it returns after all, undo
// takes back what it made.
func call[T any](ctx context.Context, bound time.Duration, f func() (T, error), undo func(T)) (T, error) {
	type result struct {
		v   T
		err error
	}
	var none T
	timeout := time.NewTimer(bound)
	defer timeout.Stop()
	select {
	case turn <- struct{}{}:
	case <-ctx.Done():
		return none, ctx.Err()
	case <-timeout.C:
		return none, ErrStuck
	}
	done := make(chan result)
	left := make(chan struct{})
	go func() {
		v, err := f()
		select {
		case done <- result{v, err}:
		case <-left:
			if err == nil {
				undo(v)
			}
		}
		<-turn
	}()
	select {
	case r := <-done:
		return r.v, r.err
	case <-ctx.Done():
		close(left)
		return none, ctx.Err()
	case <-timeout.C:
		close(left)
		return none, ErrStuck
	}
}

// start readies PortAudio for one more user. The last to start decides whether
// the libraries' own noise is let through. To be called in turn.
func start(verbose bool) error {
	hush(!verbose)
	if users == 0 {
		if err := initialize(); err != nil {
			hush(false)
			return err
		}
	}
	users++
	return nil
}

func initialize() error {
	if err := alsaReady(); err != nil {
		return err
	}
	if err := portaudio.Initialize(); err != nil {
		return &audio.Error{What: fmt.Sprintf("the sound library cannot start: %v", err), Do: "look for the cause with --verbose", Err: ErrCannotStart}
	}
	skipLowNumbers()
	return nil
}

// skipLowNumbers uses up the stream numbers below 4096, once. The binding counts
// its streams from 0 and passes the number through C as an unsafe.Pointer. Go's
// runtime holds pointers of 1 to 4095 to be corruption and ends the process where
// it meets one (checkptr, so always with -race; the copying of a stack): from the
// second stream on that would be us. A stream without a callback is refused by
// the binding before it reaches PortAudio, but has had its number.
var skipLowNumbers = sync.OnceFunc(func() {
	for range 4096 {
		portaudio.OpenStream(portaudio.StreamParameters{})
	}
})

// stop undoes one start. To be called in turn.
func stop() {
	if users--; users == 0 {
		portaudio.Terminate() // nothing is open any more, and nobody is left to tell
		hush(false)
	}
}
