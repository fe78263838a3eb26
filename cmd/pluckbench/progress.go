package main

import (
	"fmt"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// progress returns what shows how far a trial has come: a line that is written
// over on a terminal, else a line every half a minute.
func (b *bench) progress(name string, begun time.Time) func(done, total int) {
	every, head, tail := 30*time.Second, "", "\n"
	if b.onTerminal() {
		every, head, tail = 200*time.Millisecond, "\r\x1b[K", ""
	}
	var mu sync.Mutex
	last := begun
	return func(done, total int) {
		mu.Lock()
		defer mu.Unlock()
		now := time.Now()
		if now.Sub(last) < every {
			return
		}
		last = now
		left := now.Sub(begun) * time.Duration(total-done) / time.Duration(done)
		fmt.Fprintf(b.err, "%s%s: %d of %d, %v left%s", head, name, done, total, left.Round(time.Second), tail)
	}
}

// endProgress clears the line on a terminal.
func (b *bench) endProgress() {
	if b.onTerminal() {
		fmt.Fprint(b.err, "\r\x1b[K")
	}
}

func (b *bench) onTerminal() bool {
	f, ok := b.err.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
