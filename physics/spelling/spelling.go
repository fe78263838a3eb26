// Package spelling finds the name that somebody who mistyped it had in mind, for
// hints.
package spelling

import (
	"math"
	"unicode"
)

// longest is the length from which on a name is no slip of the pen, and slow to
// compare.
const longest = 40

// Nearest is the name spelled most like s, the first of equals, or empty when
// none is within about half of its length.
func Nearest(s string, names []string) string {
	if len(s) > longest {
		return ""
	}
	best, found := math.Inf(1), ""
	for _, name := range names {
		longer := float64(max(len([]rune(s)), len([]rune(name))))
		d := Slips(s, name)
		if d <= max(1, longer/2) && d < longer && d < best {
			best, found = d, name
		}
	}
	return found
}

// Slips is how many slips of the pen lie between a and b: letters too many, too
// few, wrong, or exchanged with their neighbour, and half a one for a letter in
// the wrong case. It is the edit distance known as optimal string alignment.
func Slips(a, b string) float64 {
	ra, rb := []rune(a), []rune(b)
	// Rows of the table of distances between the beginnings of a and b.
	before, last, row := make([]float64, len(rb)+1), make([]float64, len(rb)+1), make([]float64, len(rb)+1)
	for j := range last {
		last[j] = float64(j)
	}
	for i, x := range ra {
		row[0] = float64(i + 1)
		for j, y := range rb {
			row[j+1] = min(last[j]+change(x, y), last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && x != y && x == rb[j-1] && ra[i-1] == y {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(rb)]
}

// change is what it costs to write y for x.
func change(x, y rune) float64 {
	switch {
	case x == y:
		return 0
	case unicode.ToLower(x) == unicode.ToLower(y):
		return 0.5
	}
	return 1
}
