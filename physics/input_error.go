package physics

import (
	"fmt"
	"math"
	"strings"
	"unicode"
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
	return fmt.Sprintf("%s %q %s", e.What, shorten(e.Text), e.Why)
}

// Hint says what to do, or is empty.
func (e *InputError) Hint() string { return e.Fix }

// shorten keeps what is quoted back to one line.
func shorten(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// nearest is the name spelled most like s, or empty when none is within about
// half of its length. A letter in the wrong case counts as half a slip.
func nearest(s string, names []string) string {
	const longest = 40
	if len(s) > longest {
		return "" // no slip of the pen, and slow to compare
	}
	best, found := math.Inf(1), ""
	for _, name := range names {
		longer := max(len([]rune(s)), len([]rune(name)))
		d := slips(s, name)
		if d <= max(1, float64(longer)/2) && d < float64(longer) && d < best {
			best, found = d, name
		}
	}
	return found
}

// slips is the edit distance of Levenshtein between a and b, a change of case
// costing a half.
func slips(a, b string) float64 {
	ra, rb := []rune(a), []rune(b)
	row := make([]float64, len(rb)+1)
	for j := range row {
		row[j] = float64(j)
	}
	for i, x := range ra {
		diagonal := row[0]
		row[0] = float64(i + 1)
		for j, y := range rb {
			change := 1.0
			if x == y {
				change = 0
			} else if unicode.ToLower(x) == unicode.ToLower(y) {
				change = 0.5
			}
			diagonal, row[j+1] = row[j+1], min(diagonal+change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(rb)]
}

// join writes a list as people do.
func join(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
