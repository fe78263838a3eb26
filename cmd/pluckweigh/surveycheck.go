package main

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"pluckweigh/stock"
	"pluckweigh/survey"
)

// A placed take is a file and the position that somebody said it is of.
type placed struct {
	file     string
	position int // from 0, survey.Nowhere for none
}

// check refuses flags that contradict each other, before anything is read or heard.
func (w *surveying) check(cmd *cobra.Command, args []string) ([]placed, error) {
	switch {
	case w.show && w.session == "":
		return nil, &callError{"--show needs to know which session", "add --session NAME; --sessions lists them"}
	case w.show && len(args) > 0:
		return nil, &callError{"--show hears nothing, and takes are named", "leave one of the two out"}
	case w.given("save"):
		return nil, &callError{"survey keeps what it heard of plucks, not the sound", "leave --save out; listen keeps a take"}
	case w.given("near"):
		return nil, &callError{"--near names one note, and an instrument has several", "leave it out; --position says which string is plucked"}
	case w.given("reference"):
		return nil, &callError{"the instrument has a reference pitch of its own", "leave --reference out; --down says that all is tuned lower"}
	case w.given("position") && w.position < 1:
		return nil, &callError{fmt.Sprintf("--position: there is no position %d", w.position), "count them from 1"}
	case w.given("position") && w.show:
		return nil, &callError{"nothing is heard, but --position says of what", "leave it out"}
	case len(args) == 0 && !w.show && piped(w.e.in) && !w.given("input"):
		return nil, &callError{"survey takes nothing from standard input", "name the takes, or --input for the microphone"}
	}
	if err := w.checkRules(); err != nil {
		return nil, err
	}
	if w.given("session") {
		if err := stock.CheckSession(w.session); err != nil {
			return nil, about("session", err)
		}
	}
	if err := w.wish.check(); err != nil {
		return nil, err
	}
	var takes []placed
	var files []string
	for _, a := range args {
		t := placed{a, survey.Nowhere}
		if at := strings.LastIndex(a, "@"); at >= 0 && !exists(a) {
			n, err := strconv.Atoi(a[at+1:])
			if err != nil || n < 1 {
				return nil, &callError{fmt.Sprintf("take %s: %q is no position", a, a[at+1:]), "count them from 1, as in " + a[:at] + "@3"}
			}
			t = placed{a[:at], n - 1}
		}
		if t.position == survey.Nowhere && w.position > 0 {
			t.position = w.position - 1
		}
		if t.file == "-" {
			return nil, &callError{"survey takes nothing from standard input", "name the takes"}
		}
		for _, o := range files {
			if filepath.Clean(o) == filepath.Clean(t.file) {
				return nil, &callError{fmt.Sprintf("take %s is named twice", t.file), "name each take once"}
			}
		}
		takes, files = append(takes, t), append(files, t.file)
	}
	if !w.show {
		if err := w.e.check(cmd, files); err != nil {
			return nil, err
		}
	}
	return takes, w.picture.check(w.e.overwrite)
}

// checkRules refuses rules that nothing could be recognised by.
func (w *surveying) checkRules() error {
	switch {
	case w.down.given && w.up.given:
		return &callError{"--down and --up contradict each other", "leave one out"}
	case !(w.out.Value > 0 && w.out.Value <= mostOut):
		return &callError{fmt.Sprintf("--out-of-tune: %s is not between 0 and %d semitones", w.out.text, mostOut/100), "write it like 1semitone"}
	case !(w.good.Value > 0):
		return &callError{fmt.Sprintf("--good: %s is not above zero", w.good.text), "write it like 1cent"}
	}
	return nil
}

// mostOut is more than any string is out of tune and still its own, cents.
const mostOut = 600

// checkPositions refuses positions that the instrument does not have.
func (w *surveying) checkPositions(takes []placed) error {
	n := len(w.on.places)
	if w.position > n {
		return &callError{fmt.Sprintf("--position: there is no position %d of %d", w.position, n), "see `pluckweigh stock show --instrument NAME`"}
	}
	for _, t := range takes {
		if t.position >= n {
			return &callError{fmt.Sprintf("take %s: there is no position %d of %d", t.file, t.position+1, n), "see `pluckweigh stock show --instrument NAME`"}
		}
	}
	return nil
}
