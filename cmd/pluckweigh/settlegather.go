package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/settle/diary"
	"pluckweigh/stock"
)

// A pitched reading is a pitch of the string at a moment.
type pitched struct {
	when  diary.When
	hz, u float64
	warm  float64 // °C, NaN where not known
	take  string  // empty for none
}

// gather collects the readings, in the order of time. What was heard before an error
// comes with it.
func (w *settling) gather(ctx context.Context, args []string) (all []pitched, remarks []detect.Doubt, err error) {
	switch {
	case w.demo:
		fmt.Fprintln(w.e.err, "An invented string: it creeps by 3.4 cents ln(1 + t/12 min), slips by 2.6 cents after 35 min,\nand is misheard once. No microphone is needed.")
		return inventedCourse(), nil, nil
	case w.show:
		err := w.file.read(ctx, func(st *stock.Store) error {
			all, err = w.kept(ctx, st)
			return err
		})
		return all, nil, err
	}
	takes, list, err := w.named(args)
	if err != nil {
		return nil, nil, err
	}
	if w.session == "" && w.live(args) {
		w.session = w.now.Format(time.DateTime)
	}
	if w.session != "" {
		if w.store, err = w.file.open(ctx); err != nil {
			return nil, nil, err
		}
		defer func() { err = errors.Join(err, stockError(w.store.Close())) }()
	}
	switch {
	case w.live(args):
		err = w.listen(ctx)
	case len(takes) > 0:
		all, err = w.hearAll(ctx, takes)
	default:
		all = list
		err = w.keep(ctx, all...)
	}
	if w.fileTimes {
		remarks = append(remarks, detect.Doubt{Code: fileDates, Say: "times are those of the files' last change less their length: a copy may have lost them"})
	}
	if w.store == nil {
		return all, remarks, err
	}
	kept, failed := w.kept(context.WithoutCancel(ctx), w.store)
	var none *stock.MissingError
	if errors.As(failed, &none) {
		failed = nil // nothing was heard
	}
	return kept, remarks, errors.Join(err, stockError(failed))
}

// kept lists what the session has.
func (w *settling) kept(ctx context.Context, st *stock.Store) ([]pitched, error) {
	all, err := st.Pitches(ctx, w.session)
	if err != nil {
		return nil, err
	}
	out := make([]pitched, len(all))
	for i, p := range all {
		out[i] = pitched{diary.When{Time: p.At}, p.Hz, p.U, p.Temperature, p.Source}
	}
	return out, nil
}

// keep keeps readings in the session, if there is one.
func (w *settling) keep(ctx context.Context, all ...pitched) error {
	if w.store == nil {
		return nil
	}
	var out []stock.Pitch
	for _, p := range all {
		if !p.when.Dated() {
			return &callError{"a session keeps readings with their dates, and these have none", "write times like 2026-11-28T14:02, or leave --session out"}
		}
		out = append(out, stock.Pitch{At: p.when.Time, Hz: p.hz, U: p.u, Temperature: p.warm, Source: p.take})
	}
	return stockError(w.store.KeepPitches(context.WithoutCancel(ctx), w.session, out...))
}

// A timed take is a file and when it was begun.
type timed struct {
	file string
	when diary.When
	warm float64
}

// named lists what the call names: takes to hear in the order of time, or readings.
func (w *settling) named(args []string) (takes []timed, readings []pitched, err error) {
	for _, a := range args {
		t := timed{file: a, warm: w.temperatureTyped()}
		at := strings.LastIndex(a, "@")
		switch {
		case w.fileTimes && (at < 0 || exists(a)):
			info, err := os.Stat(a)
			if err != nil {
				break // said when it is opened
			}
			t.when.Time = info.ModTime() // less its length, once that is known
		case w.fileTimes:
			return nil, nil, &callError{fmt.Sprintf("take %s has a time, and --file-times is given", a), "leave one of the two out"}
		case at < 0:
			return nil, nil, &callError{fmt.Sprintf("take %s has no time", a), fmt.Sprintf("say when it began, as in %s@2026-11-28T14:02 or %s@40min, or --file-times to go by the files' dates", a, a)}
		default:
			if t.when, err = diary.ParseWhen(a[at+1:], w.zone); err != nil {
				return nil, nil, concerning("take "+a, err)
			}
			t.file = a[:at]
		}
		takes = append(takes, t)
	}
	if w.readings != "" {
		list, err := w.readList(w.readings)
		if err != nil {
			return nil, nil, about("readings", err)
		}
		if !list.Takes && !list.Pitches {
			return nil, nil, about("readings", &physics.InputError{What: "list", Text: w.readings, Why: "has neither takes nor pitches", Fix: "begin it with a line like: time,pitch (Hz),u (cents)"})
		}
		for _, e := range list.Entries {
			warm := w.temperatureTyped()
			if e.Warm != nil {
				warm = float64(*e.Warm)
			}
			if list.Pitches {
				readings = append(readings, pitched{e.When, e.Hz, e.U, warm, ""})
				continue
			}
			name := e.Take
			if !filepath.IsAbs(name) {
				name = filepath.Join(filepath.Dir(w.readings), name)
			}
			takes = append(takes, timed{name, e.When, warm})
		}
	}
	return takes, readings, w.sorted(takes)
}

// sorted puts takes in the order of time, and refuses those that are dated in part, or
// named twice.
func (w *settling) sorted(takes []timed) error {
	for i, t := range takes {
		if t.when.Dated() != takes[0].when.Dated() {
			return &callError{fmt.Sprintf("take %s has a date, or has none where others have one", t.file), "write all times with their dates, or all since the beginning"}
		}
		if w.session != "" && !t.when.Dated() {
			return &callError{"a session keeps readings with their dates, and these have none", "write times like 2026-11-28T14:02, or leave --session out"}
		}
		for _, o := range takes[:i] {
			if filepath.Clean(o.file) == filepath.Clean(t.file) {
				return &callError{fmt.Sprintf("take %s is named twice", t.file), "name each take once"}
			}
		}
	}
	slices.SortStableFunc(takes, func(a, b timed) int { return cmp.Compare(a.when.Since(b.when), 0) })
	return nil
}

// temperatureTyped is the one that was typed, NaN for none.
func (w *settling) temperatureTyped() float64 {
	if w.typed == nil {
		return math.NaN()
	}
	return float64(*w.typed)
}

// hearAll hears takes, of which every pluck that can be trusted is a reading. What cannot
// be heard is said and left out.
func (w *settling) hearAll(ctx context.Context, takes []timed) (all []pitched, err error) {
	w.e.judge = judge{}
	for i, t := range takes {
		a, err := w.e.tell(ctx, t.file, fmt.Sprintf("take %d of %d: ", i+1, len(takes)), w.e.printJSON)
		if err != nil && exitCode(err) != codeUntrusted {
			return all, err
		}
		if ctx.Err() != nil {
			return all, errors.Join(err, ctx.Err())
		}
		report(w.e.err, err)
		if w.fileTimes {
			t.when.Time = t.when.Time.Add(-time.Duration(a.take.Seconds * float64(time.Second)))
		}
		var own []pitched
		for _, p := range a.take.Plucks {
			if p.Trusted {
				own = append(own, reading(p, t.when.Later(p.Start), t.warm, t.file))
			}
		}
		if err := w.keep(ctx, own...); err != nil {
			return all, err
		}
		all = append(all, own...)
	}
	slices.SortStableFunc(all, func(a, b pitched) int { return cmp.Compare(a.when.Since(b.when), 0) })
	return all, nil
}

// reading is a pluck at a moment: by its first partial, which is where the note lies.
func reading(p detect.Pluck, at diary.When, warm float64, take string) pitched {
	return pitched{at, p.F1.V, p.F1.U, warm, take}
}

// inventedCourse is what the demonstration shows: an invented string of 82.41 Hz, strung
// a while ago, plucked every two minutes for an hour, whose peg slips once; one pluck is
// another string's.
func inventedCourse() []pitched {
	random := rand.New(rand.NewPCG(3, 5))
	var all []pitched
	for i := range 31 {
		minutes := 2 * float64(i)
		cents := -3.4*math.Log1p(minutes/12) + 0.06*random.NormFloat64()
		if i > 17 {
			cents -= 2.6
		}
		if i == 9 {
			cents += 7
		}
		all = append(all, pitched{diary.When{After: time.Duration(minutes * float64(time.Minute))}, 82.41 * math.Exp2(cents/1200), 82.41 * 0.04 * math.Ln2 / 1200, math.NaN(), ""})
	}
	return all
}
