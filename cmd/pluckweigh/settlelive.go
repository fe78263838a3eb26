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
	var failed error // to keep a pluck
	var last measured
	w.e.judge, w.e.endless = judge{}, true
	w.e.each = func(m measured, p detect.Pluck) {
		if !p.Trusted || failed != nil {
			return
		}
		// Sound that comes in at once was not heard at once.
		if least := last.at.Add(time.Duration((m.onset - last.onset) * float64(time.Second))); !last.at.IsZero() && m.at.Before(least) {
			m.at = least
		}
		last = m
		if failed = w.keep(ctx, reading(p, diary.When{Time: m.at}, w.temperatureTyped(), "")); failed != nil {
			cancel()
		}
	}
	src, err := w.e.open(stop, "")
	if err != nil {
		return err
	}
	defer src.Close()
	line := newStatusLine(w.e.err)
	rec := &recording{rate: src.Rate()}
	show := newLive(w.e, rec, src.Flaws, line)
	err = w.e.record(stop, src, rec, nil, show, &progress{line: line})
	src.Close() // what follows takes time
	show.end()
	line.clear()
	return errors.Join(err, failed)
}

func isMissing(err error) bool {
	var none *stock.MissingError
	return errors.As(err, &none)
}
