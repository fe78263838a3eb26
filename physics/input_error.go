package physics

import (
	"strconv"
	"strings"
)

// An InputError says what is wrong with something that was typed or passed in,
// and what to do instead.
type InputError struct {
	What string // what the input was for, such as "speaking length"
	Text string // the input as typed, empty when it was not typed
	Why  string // what is wrong, as it follows these: "has no unit"
	Fix  string // what to do, may be empty
}

// Error says what is wrong, in one line.
func (e *InputError) Error() string {
	if e.Text == "" {
		return e.What + " " + e.Why
	}
	return e.What + " " + quote(shorten(e.Text)) + " " + e.Why
}

// Hint says what to do, or is empty.
func (e *InputError) Hint() string { return e.Fix }

// quote puts s in quotation marks: single ones where it contains double ones, as
// 34" does, and would have to be defaced by backslashes.
func quote(s string) string {
	if strings.Contains(s, `"`) && !strings.Contains(s, "'") && strconv.CanBackquote(s) {
		return "'" + s + "'"
	}
	return strconv.Quote(s)
}

// shorten keeps what is quoted back to one line.
func shorten(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// join writes a list as people do.
func join(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
