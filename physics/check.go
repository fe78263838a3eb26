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

// checkDoF refuses what no degrees of freedom can be; 0 stands for unlimited.
func checkDoF(what string, dof float64) error {
	if dof >= 0 && !math.IsInf(dof, 0) {
		return nil
	}
	return &InputError{What: what, Why: "cannot have " + number(dof) + " degrees of freedom",
		Fix: "give a number above zero, or 0 for as many as one likes"}
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
