package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"pluckweigh/cmd/internal/view"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// offerScreen has what is heard live shown on a screen, where there is a terminal.
func (e *ears) offerScreen(cmd *cobra.Command) {
	e.screened, e.title = true, "pluckweigh "+cmd.Name()
	e.sound = append(e.sound, "lines")
	cmd.Flags().BoolVar(&e.lines, "lines", false, "print lines while listening, also where a screen could be drawn")
}

// terminals are those that a screen is drawn on and keys come from. The former is nil where
// lines are to be printed; the latter where keys do not come from it.
func (e *ears) terminals() (in, out *os.File) {
	if !e.screened || e.lines || e.json || e.verbose {
		return nil, nil // what the sound libraries say would be written over it
	}
	if t := os.Getenv("TERM"); t == "dumb" || t == "" && runtime.GOOS != "windows" {
		return nil, nil
	}
	if out = terminalOf(e.out); out == nil {
		return nil, nil
	}
	if f, ok := e.in.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		in = f
	}
	return in, out
}

// terminalOf is the terminal that w writes to, nil for none.
func terminalOf(w io.Writer) *os.File {
	if o, ok := w.(*output); ok {
		w = o.w
	}
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return f
	}
	return nil
}

// A watched recording is shown on a screen.
type watched struct {
	*view.Screen
	e    *ears
	soon float64 // what e.soon was
	once sync.Once

	out, err io.Writer // of e, before
	mu       sync.Mutex
	held     []heldText
}

// heldText is what could not be printed while the screen was there.
type heldText struct {
	to   io.Writer
	text []byte
}

// holding is a writer that holds back what is written.
type holding struct {
	w  *watched
	to io.Writer
}

func (h holding) Write(p []byte) (int, error) {
	h.w.mu.Lock()
	h.w.held = append(h.w.held, heldText{h.to, bytes.Clone(p)})
	h.w.mu.Unlock()
	if h.to == h.w.err {
		say := strings.TrimPrefix(strings.TrimSpace(string(p)), "pluckweigh: ")
		h.w.Do(func(s *view.State) { s.Say(say) })
	}
	return len(p), nil
}

// watch begins to show what is heard until unwatch, if there is a terminal to show it on;
// without one nothing is done. What is printed meanwhile is held back. The context it
// returns ends when the user says so.
func (e *ears) watch(ctx context.Context) context.Context {
	in, out := e.terminals()
	if out == nil {
		return ctx
	}
	ctx, stop := context.WithCancel(ctx)
	keys := "q or Ctrl-C"
	if in == nil {
		keys = "Ctrl-C"
	}
	ends := "no key is needed; " + keys + " ends it"
	if e.seconds > 0 {
		ends = fmt.Sprintf("no key is needed; it ends after %s s, or with %s", &e.seconds, keys)
	}
	w := &watched{e: e, out: e.out, err: e.err, soon: e.soon}
	w.Screen = view.Open(view.State{Title: e.title, Ends: ends, Caution: e.caution, Coarse: os.Getenv("TERM") == "linux"}, in, out, stop)
	e.out, e.err, e.watching = holding{w, w.out}, holding{w, w.err}, w
	if e.soon == 0 && !e.endless {
		e.soon = enoughOf
	}
	return ctx
}

// unwatch takes the screen away, if there is one, and prints what was held back. It may be
// called more than once, and by whoever is about to panic.
func (e *ears) unwatch() error {
	if e.watching == nil {
		return nil
	}
	return e.watching.end()
}

func (w *watched) end() (err error) {
	w.once.Do(func() {
		err = w.Close()
		w.e.out, w.e.err, w.e.soon, w.e.watching = w.out, w.err, w.soon, nil
		w.mu.Lock()
		defer w.mu.Unlock()
		for _, h := range w.held {
			h.to.Write(h.text) // output remembers an error
		}
	})
	if err != nil {
		err = failure{err}
	}
	return err
}

// now shows what is heard at a moment.
func (w *watched) now(now detect.Now, a4 physics.Frequency) {
	x := view.Sign{Seconds: now.Seconds, LevelDB: now.LevelDB, Ringing: now.Ringing}
	if note, err := physics.NearestNote(physics.Frequency(now.Hz), a4); now.Hz > 0 && err == nil {
		x.Note, x.Cents = note.Name(), note.Cents
	}
	w.Do(func(s *view.State) { s.Hear(x) })
}

// plucked shows what came of measuring a pluck.
func (w *watched) plucked(m measured, p detect.Pluck) {
	x := shownPluck(m, p)
	w.Do(func(s *view.State) {
		if w.e.shown != nil {
			w.e.shown(s, &x)
		}
		s.Tell(x)
	})
}
