package audio

import "errors"

// An Error says what is wrong with a file or a stream and what to do about it.
// Functions of this package return it as *Error, so that a command can print
// the hint on a line of its own.
type Error struct {
	Name string // the file, or what the stream calls itself; may be empty
	What string // what is wrong
	Do   string // what to do about it; may be empty
	Err  error  // the cause, where there is one
}

// Error returns the name and what is wrong with it, without the hint.
func (e *Error) Error() string {
	if e.Name == "" {
		return e.What
	}
	return e.Name + ": " + e.What
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// Hint says what to do, or nothing.
func (e *Error) Hint() string { return e.Do }

// named returns err with the name of what it is about.
func named(err error, name string) error {
	var e *Error
	if errors.As(err, &e) && e.Name == "" {
		n := *e
		n.Name = name
		return &n
	}
	return err
}
