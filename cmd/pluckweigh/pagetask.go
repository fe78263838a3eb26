package main

import (
	"context"
	"math"
	"sync"
	"time"

	"pluckweigh/detect"
	"pluckweigh/web"
)

// A pageTask is what a page's plucks are kept for, beside being told. It is safe for use
// by several goroutines.
type pageTask interface {
	// hear hears a take as the command does.
	hear(x []float64, rate float64, o detect.Options) (detect.Take, error)
	// early tells that a pluck is kept while it rings, where it can be trusted.
	early() bool
	// keep keeps a pluck.
	keep(ctx context.Context, m measured, p detect.Pluck) error
	// told is what is to be shown by now. Its error is the user's to mend.
	told(ctx context.Context) (any, error)
}

// A pageWork is a task and its telling: of what happens while it is worked out what is to
// be told, the last counts.
type pageWork struct {
	pageTask
	to web.Teller

	mu      sync.Mutex
	working bool
	again   bool
	kept    float64 // s, onset of the last pluck that was kept; -1 for none in this listening
}

func newPageWork(t pageTask, to web.Teller) *pageWork {
	return &pageWork{pageTask: t, to: to, kept: -1}
}

// begin begins a listening, in which onsets are counted anew.
func (w *pageWork) begin() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.kept = -1
}

// goOn takes over from what plucks were kept for before: a pluck that rings on was kept.
func (w *pageWork) goOn(before *pageWork) {
	if before != nil {
		before.mu.Lock()
		w.kept = before.kept
		before.mu.Unlock()
	}
}

// take takes in a pluck that was measured, while it rang or when it was over.
func (w *pageWork) take(m measured, p detect.Pluck) {
	w.mu.Lock()
	was := w.kept >= 0 && math.Abs(m.onset-w.kept) < samePluck
	now := !was && p.Trusted && (!m.soon || w.early())
	if now {
		w.kept = m.onset
	}
	w.mu.Unlock()
	if !now {
		return
	}
	if err := w.keep(context.Background(), m, p); err != nil {
		w.trouble(err)
	}
	w.tell()
}

func (w *pageWork) trouble(err error) {
	w.to.Result(struct {
		Trouble web.Trouble `json:"trouble"`
	}{web.TroubleOf(err)})
}

// tell has what is known by now told soon.
func (w *pageWork) tell() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.working {
		w.again = true
		return
	}
	w.working = true
	go func() {
		for more := true; more; {
			v, err := w.told(context.Background())
			if err != nil {
				w.trouble(err)
			} else {
				w.to.Result(v)
			}
			w.mu.Lock()
			more = w.again
			w.again, w.working = false, more
			w.mu.Unlock()
		}
	}()
}

// task begins or continues what plucks are to be kept for, nil for nothing.
func (p *pageEars) task(a web.Ask, k typed, troubles map[string]web.Trouble) *pageWork {
	ctx, cancel := context.WithTimeout(context.Background(), taskTime)
	defer cancel()
	switch {
	case p.file == nil:
	case a.Survey != nil && a.Survey.Instrument != "":
		if s := newPageSurvey(ctx, p.file, *a.Survey, troubles); s != nil {
			return newPageWork(s, p.to)
		}
	case a.Settle != nil:
		if s := newPageSettle(ctx, p.file, *a.Settle, k.a4, troubles); s != nil {
			return newPageWork(s, p.to)
		}
	}
	return nil
}

// sameTask tells whether plucks are to be kept for the same.
func sameTask(a, b web.Ask) bool {
	return (a.Survey == nil) == (b.Survey == nil) && (a.Settle == nil) == (b.Settle == nil) && a.Reference == b.Reference &&
		(a.Survey == nil || *a.Survey == *b.Survey) && (a.Settle == nil || *a.Settle == *b.Settle)
}

// taskTime is long enough for what is kept to be read.
const taskTime = 10 * time.Second

// A typing reads what was typed in places of a page, each once: what is empty is left as it
// is, and what is wrong is told by the name of its place.
type typing struct {
	place    string // before each name
	troubles map[string]web.Trouble
	wrong    bool
}

func (t *typing) set(name, text string, set func(string) error) (given bool) {
	if text == "" {
		return false
	}
	if err := set(text); err != nil {
		t.refuse(name, err)
		return false
	}
	return true
}

func (t *typing) refuse(name string, err error) {
	t.wrong = true
	t.troubles[t.place+name] = web.TroubleOf(err)
}
