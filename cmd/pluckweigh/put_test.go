package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// TestPutKeepsWhatWasThere has writing fail half-way, and a file appear meanwhile: what
// was there stays, and nothing is left beside it.
func TestPutKeepsWhatWasThere(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "page.html")
	is := func(want string) {
		t.Helper()
		got, err := os.ReadFile(name)
		if err != nil || string(got) != want {
			t.Errorf("the file is %q (%v), want %q", got, err, want)
		}
		if all, _ := os.ReadDir(dir); len(all) != 1 {
			t.Errorf("%d files are there, want 1: %v", len(all), all)
		}
	}
	say := func(text string) func(io.Writer) error {
		return func(w io.Writer) error {
			_, err := io.WriteString(w, text)
			return err
		}
	}
	if err := put(name, false, say("first")); err != nil {
		t.Fatal(err)
	}
	is("first")
	var call *callError
	if err := put(name, false, say("second")); !errors.As(err, &call) {
		t.Errorf("a file that is there was replaced unasked: %v", err)
	}
	is("first")
	err := put(name, true, func(w io.Writer) error { return errors.Join(say("half")(w), errors.New("no more")) })
	if exitCode(err) != codeFailed {
		t.Errorf("a write that failed gives %v", err)
	}
	is("first")
	if err := put(name, true, say("third")); err != nil {
		t.Fatal(err)
	}
	is("third")
}
