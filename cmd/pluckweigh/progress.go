package main

import (
	"context"
	"fmt"
	"time"
)

// A progress says on the status line how far a take has come.
type progress struct {
	line  *statusLine
	which string    // which take it is, where there are several
	next  time.Time // when the line is next written
}

// read says how much of a take has been read, but not oftener than is of use.
func (p *progress) read(rec *recording) {
	if now := time.Now(); !now.Before(p.next) {
		p.set(fmt.Sprintf("reading, %.0f s so far", rec.seconds()))
		p.next = now.Add(every)
	}
}

func (p *progress) set(say string) { p.line.set(p.which + say) }

// measure measures a recording and says for how long it has been at it. It is
// given up when ctx ends.
func (p *progress) measure(ctx context.Context, e *ears, rec *recording) (*answer, error) {
	type result struct {
		answer *answer
		err    error
	}
	done := make(chan result, 1)
	go func() {
		a, err := e.measure(rec)
		done <- result{a, err}
	}()
	begun := time.Now()
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		said := fmt.Sprintf("measuring %.0f s of sound", rec.seconds())
		if at := time.Since(begun); at >= time.Second {
			said += fmt.Sprintf(", for %.0f s now", at.Seconds())
		}
		p.set(said)
		select {
		case r := <-done:
			return r.answer, r.err
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-tick.C:
		}
	}
}
