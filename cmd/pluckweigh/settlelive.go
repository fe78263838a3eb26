package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"pluckweigh/detect"
	"pluckweigh/settle/diary"
	"pluckweigh/stock"
)

// listen listens to the microphone and keeps each pluck at once, until it is told to
// stop. Nothing that was kept is lost by an error.
func (w *settling) listen(ctx context.Context) (err error) {
	switch kept, err := w.kept(ctx, w.store); {
	case err == nil:
		fmt.Fprintf(w.e.err, "continuing the session %q: %s since %s\n", w.session, counted(len(kept), "reading"), kept[0].when.Time.Format(minute))
	case !isMissing(err):
		return stockError(err)
	default:
		fmt.Fprintf(w.e.err, "each pluck is kept at once in the session %q\n", w.session)
	}
	stop, cancel := context.WithCancel(ctx)
	defer cancel()
	src, err := w.e.open(stop, "")
	if err != nil {
		return err
	}
	defer src.Close()
	begun := time.Now()
	var failed error // to keep a pluck
	heardTo := 0.0   // s
	keep := func(onset float64, at time.Time, p detect.Pluck) {
		if !p.Trusted || failed != nil {
			return
		}
		// Sound that comes in at once was not heard at once.
		if soonest := begun.Add(time.Duration(onset * float64(time.Second))); at.Before(soonest) {
			at = soonest
		}
		if failed = w.keep(ctx, reading(p, diary.When{Time: at}, w.temperatureTyped(), "")); failed != nil {
			cancel()
		}
	}
	w.e.judge, w.e.endless = judge{}, true
	w.e.each = func(m measured, p detect.Pluck) {
		heardTo = m.from + m.rec.seconds()
		keep(m.onset, m.at, p)
	}
	stop = w.e.watch(stop)
	defer w.e.unwatch() // it may panic
	defer w.shows(ctx)()
	line := newStatusLine(w.e.err)
	rec := &recording{rate: src.Rate()}
	show := newLive(w.e, rec, src.Flaws, line)
	err = w.e.record(stop, src, rec, nil, show, &progress{line: line})
	ended := time.Now()
	err = errors.Join(err, w.e.unwatch())
	src.Close() // what follows takes time
	show.end()
	line.clear()
	// The last pluck may still ring.
	from := max(heardTo-before, rec.seconds()-recentSeconds, 0)
	if rec.seconds()-from < shortest {
		return errors.Join(err, failed)
	}
	a, odd := w.e.measure(rec.part(from, rec.seconds()))
	if odd == nil {
		for _, p := range a.take.Plucks {
			if at := from + p.Start; at > heardTo {
				keep(at, ended.Add(-time.Duration((rec.seconds()-at)*float64(time.Second))), p)
			}
		}
	}
	return errors.Join(err, odd, failed)
}

func isMissing(err error) bool {
	var none *stock.MissingError
	return errors.As(err, &none)
}
