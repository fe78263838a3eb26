package main

import (
	"context"
	"fmt"
	"math"
	"sync"

	"pluckweigh/cmd/internal/view"
	"pluckweigh/physics"
)

// shows has the course shown on a screen, if there is one, as it is now and after each
// pluck, until the function that it returns is called. It is worked out beside the
// listening; of plucks that come meanwhile the last counts.
func (w *settling) shows(ctx context.Context) (done func()) {
	s := w.e.watching
	if s == nil {
		return func() {}
	}
	again := make(chan struct{}, 1)
	again <- struct{}{}
	w.e.shown = func(*view.State, *view.Pluck) {
		select {
		case again <- struct{}{}:
		default:
		}
	}
	var working sync.WaitGroup
	working.Go(func() {
		defer w.e.unwatch() // of use only where it panics
		for range again {
			x := w.course(ctx)
			s.Do(func(st *view.State) { st.Watch(x) })
		}
	})
	return func() {
		w.e.shown = nil
		close(again)
		working.Wait()
	}
}

// course is the course so far as it is shown.
func (w *settling) course(ctx context.Context) view.Course {
	x := view.Course{X: "time", Y: "cents", K: physics.Coverage}
	all, err := w.kept(ctx, w.store)
	if err != nil && !isMissing(err) {
		x.Waiting = err.Error()
		return x
	}
	event, err := w.eventTime()
	if err != nil {
		return x // it was refused before anything was heard
	}
	a, err := w.answer(all, w.e.reference.hz, event, nil)
	if err != nil {
		x.Waiting = fmt.Sprintf("%s so far; %v", counted(len(all), "reading"), err)
		if len(all) == 0 {
			x.Waiting = "no reading yet: pluck the string once and let it ring"
		}
		return x
	}
	c, course := a.chart(), a.course
	x.X, x.Y, x.Ahead = c.X, c.Y, c.Ahead
	for _, r := range c.Readings {
		x.Points = append(x.Points, view.Point{X: r.X, Y: r.Y, U: r.U, Odd: r.Odd})
	}
	const parts = 400 // more than a screen has dots across
	for i := range parts + 1 {
		at := c.From + (c.To-c.From)*float64(i)/parts
		y, u := c.Law(at)
		x.Law = append(x.Law, view.Law{X: at, Y: y, U: u})
	}
	last := course.Readings[len(course.Readings)-1].At
	now := signed(course.At(last), 1, "cents")
	x.Big = largeCents(a.note.Name(), now)
	x.Beside = fmt.Sprintf("%s %s at the last reading  (k = %d), of %s", a.note.Name(), now, physics.Coverage, counted(len(a.readings), "reading"))
	x.Verdict = fmt.Sprintf("within %s: %s", wished(a.forecast), verdict(a.forecast))
	if d := course.Drift(last); !math.IsNaN(d.Value) {
		x.Facts = append(x.Facts, fmt.Sprintf("drifts by %s  (k = %d)", signed(d, 3600, "cents/h"), physics.Coverage))
	}
	for _, s := range course.Steps {
		x.Facts = append(x.Facts, fmt.Sprintf("stepped by %s after %s  (k = %d)", signed(s.Size, 1, "cents"), a.moment(s.After), physics.Coverage))
	}
	return x
}
