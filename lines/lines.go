// Package lines is what readers of lists have in common, whatever stands in them.
package lines

import (
	"errors"
	"fmt"
)

// A Reader takes a list apart: its next line that is not blank, with its number from 1, or
// why that is none; io.EOF at the end.
type Reader interface {
	Next() (fields []string, number int, err error)
}

// An Error is what is wrong with a line of a list.
type Error struct {
	Line  int
	Cause error
}

func (e *Error) Error() string { return fmt.Sprintf("line %d: %v", e.Line, e.Cause) }
func (e *Error) Unwrap() error { return e.Cause }

// Hint says what to do; empty where the cause does not.
func (e *Error) Hint() string {
	var h interface{ Hint() string }
	if errors.As(e.Cause, &h) {
		return h.Hint()
	}
	return ""
}
