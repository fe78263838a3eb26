package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"time"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/survey"
)

// gather collects plucks: those of the session, and those that are heard now.
func (w *surveying) gather(ctx context.Context, takes []placed) (err error) {
	if w.show {
		return w.file.read(ctx, w.resume)
	}
	if w.session == "" && len(takes) == 0 {
		w.session = time.Now().Format(time.DateTime)
	}
	if w.session != "" {
		if w.store, err = w.file.open(ctx); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, stockError(w.store.Close())) }()
		if err := w.resume(w.store); err != nil && !isMissing(err) {
			return surveyError(err)
		}
		begin := fmt.Sprintf("each pluck is kept at once in the session %q", w.session)
		if n := len(w.plucks); n > 0 {
			begin = fmt.Sprintf("continuing the session %q: %s, %s", w.session, counted(n, "pluck"), w.progress())
		}
		fmt.Fprintln(w.e.err, begin)
	}
	if len(takes) == 0 {
		return w.listen(ctx)
	}
	return w.hearAll(ctx, takes)
}

// surveyError sorts an error of the stock.
func surveyError(err error) error {
	var other *stock.OtherInstrumentError
	if errors.As(err, &other) {
		return &callError{other.Error(), other.Hint()}
	}
	return stockError(err)
}

// resume takes in what the session has.
func (w *surveying) resume(st *stock.Store) error {
	of, all, err := st.Plucks(context.Background(), w.session)
	if err != nil {
		return err
	}
	if of != w.on.Name {
		return surveyError(&stock.OtherInstrumentError{Survey: w.session, Of: of})
	}
	for _, p := range all {
		if p.Named >= len(w.on.places) {
			return &callError{fmt.Sprintf("the session %q has a pluck of position %d, and %q has %d now", w.session, p.Named+1, of, len(w.on.places)), "begin another session"}
		}
	}
	w.plucks = all
	return nil
}

// add takes a pluck in, and keeps it first where there is a session.
func (w *surveying) add(ctx context.Context, p stock.Pluck) error {
	if w.inOrder && p.Named == survey.Nowhere {
		// Whose turn it was is known now.
		p.Named = survey.Turn(w.on.as, append(w.heard(), p.Heard), w.rules())
	}
	if w.store != nil {
		if err := w.store.KeepPlucks(context.WithoutCancel(ctx), w.session, w.on.Name, p); err != nil {
			return surveyError(err)
		}
	}
	same := func(o stock.Pluck) bool {
		return o.Source == p.Source && o.Start == p.Start && o.F0.Value == p.F0.Value
	}
	if i := slices.IndexFunc(w.plucks, same); i >= 0 {
		w.last = i // the same take again
		return nil
	}
	w.plucks, w.last = append(w.plucks, p), len(w.plucks)
	return nil
}

// pluck is what is kept of one that was heard.
func (w *surveying) pluck(a *answer, p detect.Pluck, at time.Time, start float64, position int) (stock.Pluck, error) {
	out := stock.Pluck{At: at, Source: a.name, Start: start, Clock: a.clock.Relative()}
	f0, err := a.clock.True(p.F0)
	if err != nil {
		return out, err
	}
	f1, err := a.clock.True(p.F1)
	if err != nil {
		return out, err
	}
	if p.Load != nil {
		raise := math.Sqrt(1 + p.B.V)
		f1 = detect.Value{V: f0.V * raise, U: f0.U * raise}
		out.Clip = &survey.Clip{Mass: w.clip.Measured, Ratio: p.Load.Ratio.V, U: p.Load.Ratio.U, Correlation: p.Load.Correlation}
	}
	// No sound is known to better than that, whatever a fit says of one without noise.
	const least = 1e-9
	f0.U, f1.U = max(f0.U, least*f0.V), max(f1.U, least*f1.V)
	out.Heard.F0, out.Heard.F1 = hertz(f0), hertz(f1)
	out.Heard.B = physics.Measured[physics.Inharmonicity]{Value: physics.Inharmonicity(max(0, p.B.V)), U: physics.Inharmonicity(p.B.U), Assumed: !p.BKnown}
	out.Heard.Corr, out.Heard.Named = p.Corr, position
	if slices.ContainsFunc(p.Doubts, func(d detect.Doubt) bool { return d.Code == plucked }) {
		out.Heard.Stroke = -1 // that of the other, once both are kept
	}
	return out, nil
}

// counts tells whether a pluck can be taken for what it is: by itself, and in its take.
func counts(t detect.Take, p detect.Pluck) bool {
	return p.Trusted && !slices.ContainsFunc(t.Doubts, func(d detect.Doubt) bool { return d.Fatal && d.Code != detect.Scatter })
}

// hearAll hears takes, each with one pluck or many.
func (w *surveying) hearAll(ctx context.Context, takes []placed) error {
	for i, t := range takes {
		heard := 0
		w.named = t.position
		print := func(a *answer) error {
			// Several strings in one take are what is wanted here.
			several := func(d detect.Doubt) bool { return d.Code == detect.Scatter }
			a.doubts = slices.DeleteFunc(slices.Clone(a.doubts), several)
			return w.e.printJSON(a)
		}
		a, err := w.e.tell(ctx, t.file, fmt.Sprintf("take %d of %d: ", i+1, len(takes)), print)
		if err != nil && exitCode(err) != codeUntrusted {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		name := t.file
		if whole, err := filepath.Abs(t.file); err == nil {
			name = whole
		}
		at := time.Now()
		if info, err := os.Stat(t.file); err == nil {
			at = info.ModTime()
		}
		for _, p := range a.take.Plucks {
			w.last = -1
			say := a.brief(p)
			if counts(a.take, p) {
				heard++
				k, err := w.pluck(a, p, at, p.Start, t.position)
				if err != nil {
					return err
				}
				k.Source = name
				if err := w.add(ctx, k); err != nil {
					return err
				}
				say, _ = w.told()
			} else if p.Trusted {
				say = "not trusted: " + fatalOf(a.take.Doubts)
			}
			if !w.e.json {
				fmt.Fprintf(w.e.out, "%s at %.1f s: %s\n", t.file, p.Start, say)
			}
		}
		if heard == 0 {
			report(w.e.err, a.untrusted())
		}
	}
	return nil
}

func fatalOf(ds []detect.Doubt) string {
	for _, d := range ds {
		if d.Fatal {
			return d.Say
		}
	}
	return ""
}
