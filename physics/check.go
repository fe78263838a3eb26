package physics

import (
	"math"
	"strconv"
)

// checkPositive refuses what no physical quantity can be.
func checkPositive(what string, v float64) error {
	if v > 0 && !math.IsInf(v, 0) {
		return nil
	}
	return &InputError{What: what, Why: "must be positive and finite, not " + number(v)}
}

// checkU refuses what no standard uncertainty can be.
func checkU(what string, u float64) error {
	if u >= 0 && !math.IsInf(u, 0) {
		return nil
	}
	return &InputError{What: what, Why: "must have a finite uncertainty of zero or more, not " + number(u)}
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
