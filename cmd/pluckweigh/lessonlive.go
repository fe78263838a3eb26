package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strings"
)

// live listens, one point after the other: what the call told of them, or what is asked for.
func (w *teaching) live(ctx context.Context, c *class, told []toldTake) error {
	if len(w.of.Asked()) == 0 {
		if w.of.Many {
			return w.onePluck(ctx, c, toldTake{}, "pluck the string once, near one end, and let it ring")
		}
		return w.hearAllLive(ctx, c)
	}
	answers := w.lines()
	for i := 0; ; i++ {
		t, more, err := w.next(ctx, i, told, answers)
		if err != nil || !more {
			return err
		}
		if err := w.onePluck(ctx, c, t, fmt.Sprintf("point %d, %s: pluck, and let it ring", i+1, t.name)); err != nil {
			return err
		}
	}
}

// next is what is told of the next point.
func (w *teaching) next(ctx context.Context, i int, told []toldTake, answers <-chan string) (t toldTake, more bool, err error) {
	if len(told) > 0 {
		if i < len(told) {
			return told[i], true, nil
		}
		return t, false, nil
	}
	var names []string
	for _, a := range w.of.Asked() {
		if !a.Optional {
			names = append(names, a.Name)
		}
	}
	for {
		x, _, _ := strings.Cut(w.example(":"), ":")
		fmt.Fprintf(w.e.err, "point %d: %s, like %s? (an empty line ends it)\n", i+1, strings.Join(names, ", "), x)
		var s string
		select {
		case <-ctx.Done():
			return t, false, nil // what there is, is judged
		case s = <-answers:
		}
		if strings.TrimSpace(s) == "" {
			return t, false, nil
		}
		x1, err := w.parseX(s, w.of.Asked())
		if err != nil {
			report(w.e.err, err)
			continue
		}
		return toldTake{name: strings.TrimSpace(s), x: x1}, true, nil
	}
}

// lines are those of standard input, empty ones at its end.
func (w *teaching) lines() <-chan string {
	out := make(chan string)
	go func() {
		defer close(out)
		if w.e.in == nil {
			return
		}
		in := bufio.NewReader(io.LimitReader(w.e.in, 1<<20))
		for {
			s, err := in.ReadString('\n')
			if s = strings.TrimRight(s, "\r\n"); err != nil && s == "" {
				return
			}
			out <- s
		}
	}()
	return out
}

// onePluck listens until a pluck was heard that gives a point.
func (w *teaching) onePluck(ctx context.Context, c *class, t toldTake, prompt string) error {
	defer func() { w.e.plucked, w.e.ready = nil, nil }()
	for {
		one, stop := context.WithCancel(ctx)
		heard := false
		w.e.ready = func() { fmt.Fprintln(w.e.err, prompt) }
		w.e.plucked = func() {
			heard = true
			stop()
		}
		a, err := w.e.tell(one, "", "", func(*answer) error { return nil })
		stop()
		switch {
		case err != nil && exitCode(err) != codeUntrusted:
			return err
		case err == nil:
			n := len(c.points)
			if err = w.add(c, t, a); err == nil {
				w.show(c, n)
				return nil
			}
			if exitCode(err) != codeUntrusted {
				return err
			}
		}
		report(w.e.err, err)
		if ctx.Err() != nil || !heard && w.e.seconds > 0 {
			c.doubts = append(c.doubts, "a point was left out: "+whyNot(a, err))
			return nil
		}
		if !heard {
			return err // the microphone is over
		}
		fmt.Fprintln(w.e.err, "that cannot be used: pluck again")
	}
}

// hearAllLive listens to one pluck after the other until it is told to stop.
func (w *teaching) hearAllLive(ctx context.Context, c *class) error {
	fmt.Fprintln(w.e.err, "pluck one after the other; Ctrl-C ends it")
	a, err := w.e.tell(ctx, "", "", func(*answer) error { return nil })
	if err != nil {
		return err
	}
	return w.add(c, toldTake{}, a)
}

// show tells of the points that came last, and what all say so far.
func (w *teaching) show(c *class, from int) {
	for i, p := range c.points[from:] {
		if len(c.points)-from <= 3 {
			fmt.Fprintf(w.e.err, "point %d: %s\n", from+i+1, w.of.Y.Say(p.Y, 2)+" (k = 2)")
		}
	}
	g, err := w.givens(pitchOf(c.points))
	if err != nil || len(c.points) < 3 {
		return
	}
	fmt.Fprintln(w.e.err, "so far: "+w.of.Judge(c.points, g).Say)
}
