package main

import (
	"fmt"
	"io"
	"os"

	"golang.org/x/term"
)

// A statusLine is one line of a terminal that is written over. Where there is no
// terminal it stays unseen.
type statusLine struct {
	f     *os.File // nil where there is none
	shown int      // characters there now
}

func newStatusLine(w io.Writer) *statusLine {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) || os.Getenv("TERM") == "dumb" {
		return &statusLine{}
	}
	return &statusLine{f: f}
}

// set puts s, plain ASCII, in place of what the line said.
func (l *statusLine) set(s string) {
	if l.f == nil {
		return
	}
	if width, _, err := term.GetSize(int(l.f.Fd())); err == nil && width > 0 && len(s) >= width {
		s = s[:width-1] // a line that wraps could not be written over
	}
	// Blanks, not an escape sequence, which not every terminal knows.
	fmt.Fprintf(l.f, "\r%-*s", l.shown, s)
	l.shown = len(s)
}

// clear takes the line away.
func (l *statusLine) clear() {
	if l.shown > 0 {
		fmt.Fprintf(l.f, "\r%*s\r", l.shown, "")
		l.shown = 0
	}
}
