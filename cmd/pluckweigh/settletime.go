package main

import (
	"fmt"
	"math"
	"strings"

	"pluckweigh/settle"
)

// moment prints a time in seconds since the first reading.
func (a *settled) moment(at float64) string {
	when := a.readings[0].when.Later(at)
	if when.Dated() {
		return when.Time.Format(minute)
	}
	return lasted(when.After.Seconds())
}

// lasted prints a length of time to about three digits.
func lasted(seconds float64) string {
	size, name := timeUnit(seconds)
	return short(seconds/size) + " " + name
}

// lastedOf prints a length of time and the range that it is in, in one unit.
func lastedOf(e settle.Estimate) (value, between string) {
	size, name := timeUnit(e.Value)
	upTo := "more"
	if !math.IsInf(e.High, 0) {
		upTo = short(e.High/size) + " " + name
	}
	return lasted(e.Value), short(e.Low/size) + " to " + upTo
}

// timeUnit is the one that a length of time is printed in.
func timeUnit(seconds float64) (size float64, name string) {
	switch {
	case seconds < 100:
		return 1, "s"
	case seconds < 100*60:
		return 60, "min"
	case seconds < 100*3600:
		return 3600, "h"
	}
	return 86400, "d"
}

// short prints a number to a tenth, if that is not none.
func short(v float64) string {
	if v >= 20 || v == math.Trunc(v) {
		return fmt.Sprintf("%.0f", v)
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")
}
