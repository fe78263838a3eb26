package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"pluckweigh/cmd/internal/view"
	"pluckweigh/detect"
)

// listen listens to the microphone and keeps each pluck at once, until every string is
// good or it is told to stop. Nothing that was kept is lost by an error.
func (w *surveying) listen(ctx context.Context) error {
	stop, cancel := context.WithCancel(ctx)
	defer cancel()
	if w.done() {
		fmt.Fprintln(w.e.err, "every string is good already: --show answers from that, another --session begins anew")
		return nil
	}
	src, err := w.e.open(stop, "")
	if err != nil {
		return err
	}
	defer src.Close()
	if w.position > 0 {
		w.named = w.position - 1
	}
	var failed error // to keep a pluck
	heardTo := 0.0   // s
	keep := func(a *answer, p detect.Pluck, at time.Time, start float64) {
		w.last = -1
		if failed != nil || !counts(a.take, p) {
			return
		}
		var k, err = w.pluck(a, p, at, start, w.named)
		if err == nil {
			err = w.add(ctx, k)
		}
		if failed = err; failed != nil || w.done() {
			cancel()
		}
	}
	w.e.endless, w.e.soon, w.e.told, w.e.shown = true, enoughOf, w.told, w.shows()
	w.e.each = func(m measured, p detect.Pluck) {
		heardTo = m.from + m.rec.seconds()
		keep(m.answer, p, m.at, m.onset)
		w.also = -1
		for _, q := range m.answer.take.Plucks {
			if first := w.last; first >= 0 && q.Start == p.Start && q.F0 != p.F0 { // it sounded together with it
				keep(m.answer, q, m.at, m.onset)
				w.also = first
			}
		}
	}
	stop = w.e.watch(stop)
	defer w.e.unwatch() // it may panic
	if s := w.e.watching; s != nil {
		s.Do(func(st *view.State) { w.e.shown(st, nil) })
	}
	line := newStatusLine(w.e.err)
	rec := &recording{rate: src.Rate()}
	w.e.setClock(rec, src)
	show := newLive(w.e, rec, src.Flaws, line)
	err = w.e.record(stop, src, rec, nil, show, &progress{line: line})
	err = errors.Join(err, w.e.unwatch())
	src.Close() // what follows takes time
	show.end()
	line.clear()
	if w.done() || failed != nil {
		return errors.Join(err, failed)
	}
	// The last pluck may still ring.
	from := max(heardTo-before, rec.seconds()-recentSeconds, 0)
	if rec.seconds()-from < shortest {
		return err
	}
	a, odd := w.e.measure(rec.part(from, rec.seconds()))
	if odd == nil {
		for _, p := range a.take.Plucks {
			if at := from + p.Start; at > heardTo {
				keep(a, p, time.Now(), at)
				if w.last >= 0 && !w.e.json {
					say, _ := w.told()
					fmt.Fprintf(w.e.out, "the last pluck: %s\n", say)
				}
			}
		}
	}
	return errors.Join(err, odd, failed)
}
