package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/physics"
)

// Exit codes.
const (
	codeDone      = 0
	codeFailed    = 1
	codeCall      = 2 // the call or its input is wrong
	codeUntrusted = 3 // nothing was heard that can be trusted
	codeNoDevice  = 4
)

// gravest lists the exit codes from the gravest on.
var gravest = []int{codeFailed, codeNoDevice, codeCall, codeUntrusted, codeDone}

// graver is the exit code that stands for both.
func graver(a, b int) int {
	if slices.Index(gravest, a) < slices.Index(gravest, b) {
		return a
	}
	return b
}

// A callError is a call that makes no sense.
type callError struct {
	what string
	do   string // the hint, may be empty
}

func (e *callError) Error() string { return e.what }
func (e *callError) Hint() string  { return e.do }

// An untrusted error is a take that gave no reading.
type untrusted struct {
	what, do string
}

func (e *untrusted) Error() string { return e.what }
func (e *untrusted) Hint() string  { return e.do }

// A failure is an error of which the cause lies neither in the call nor in its
// input, whatever kind it is of.
type failure struct{ error }

func (e failure) Unwrap() error { return e.error }

// reported is an exit code whose errors have been printed.
type reported int

func (e reported) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

// exitCode maps an error to the exit code of the program.
func exitCode(err error) int {
	var (
		printed  reported
		failed   failure
		call     *callError
		input    *physics.InputError
		sound    *audio.Error
		nothing  *untrusted
		isDevice = func(kind error) bool { return errors.Is(err, kind) }
	)
	switch {
	case err == nil:
		return codeDone
	case errors.As(err, &printed):
		return int(printed)
	case errors.As(err, &failed):
		return codeFailed
	case errors.As(err, &nothing):
		return codeUntrusted
	case errors.Is(err, mic.ErrNotOffered):
		return codeCall
	case slices.ContainsFunc([]error{mic.ErrNoDevice, mic.ErrNoMatch, mic.ErrDied, mic.ErrStuck}, isDevice):
		return codeNoDevice
	case errors.As(err, &call), errors.As(err, &input), errors.As(err, &sound):
		return codeCall
	}
	return codeFailed
}

// An unwritten error is that of a result that could not be written: nothing that
// follows could be either.
type unwritten struct{ error }

func (e unwritten) Unwrap() error { return e.error }

// A telling is an error as a person is told of it.
type telling struct{ say, hint string }

// tellings lists what is to be told of an error: nothing of one that has been
// printed, and each of several joined.
func tellings(err error) []telling {
	var printed reported
	if err == nil || errors.As(err, &printed) {
		return nil
	}
	if several, ok := err.(interface{ Unwrap() []error }); ok {
		var all []telling
		for _, e := range several.Unwrap() {
			all = append(all, tellings(e)...)
		}
		return all
	}
	if errors.Is(err, context.Canceled) {
		return []telling{{say: "interrupted"}}
	}
	t := telling{say: err.Error()}
	var h interface{ Hint() string }
	if errors.As(err, &h) {
		t.hint = h.Hint()
	}
	return []telling{t}
}

// report prints an error, and what to do about it where that is known.
func report(w io.Writer, err error) {
	for _, t := range tellings(err) {
		fmt.Fprintf(w, "pluckweigh: %s\n", t.say)
		if t.hint != "" {
			fmt.Fprintf(w, "hint: %s\n", t.hint)
		}
	}
}
