// Package diary reads what was noted of a string over time: moments, temperatures, and
// lists of readings.
package diary

import (
	"math"
	"strconv"
	"strings"
	"time"

	"pluckweigh/physics"
)

// A When is a moment: a date and a time of day, or so long after a beginning that nobody
// dated.
type When struct {
	Time  time.Time     // zero where it is not dated
	After time.Duration // where it is not
}

// Dated tells whether it has a date.
func (w When) Dated() bool { return !w.Time.IsZero() }

// Since is how long after another it is, which is of the same kind, in seconds.
func (w When) Since(o When) float64 {
	if w.Dated() {
		return w.Time.Sub(o.Time).Seconds()
	}
	return (w.After - o.After).Seconds()
}

// layouts are how dates are written, those with a zone first.
var layouts = []string{time.RFC3339Nano, "2006-01-02T15:04Z07:00", "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02 15:04"}

// The years that a date may be in: others are typing errors.
const earliest, latest = 1990, 2200

// ParseWhen reads a moment: a date like "2026-11-28 14:02", in the zone given where it
// names none, or a time since the beginning, like "40min". The error is an
// *physics.InputError.
func ParseWhen(s string, zone *time.Location) (When, error) {
	text := strings.TrimSpace(s)
	for _, layout := range layouts {
		t, err := time.ParseInLocation(layout, text, zone)
		if err != nil {
			continue
		}
		if y := t.Year(); y < earliest || y > latest {
			return When{}, &physics.InputError{What: "time", Text: s, Why: "is in an impossible year", Fix: "write it like 2026-11-28 14:02"}
		}
		return When{Time: t}, nil
	}
	if strings.ContainsAny(text, ":-/") && !strings.HasPrefix(text, "-") {
		why := "is no date and time of day"
		if _, err := time.Parse("15:04", text); err == nil {
			why = "has no date"
		} else if _, err := time.Parse("15:04:05", text); err == nil {
			why = "has no date"
		}
		return When{}, &physics.InputError{What: "time", Text: s, Why: why, Fix: "write it like 2026-11-28 14:02, or since the beginning, like 40min"}
	}
	d, err := ParseLasting(s)
	return When{After: d}, err
}

// lastings are units of time, each with its length.
var lastings = []struct {
	name string
	is   time.Duration
}{{"min", time.Minute}, {"s", time.Second}, {"h", time.Hour}, {"d", 24 * time.Hour}}

// longest is how long anything may last: ten years.
const longest = 3653 * 24 * time.Hour

// ParseLasting reads a length of time, which may be none: "90s", "40min", "1h30min",
// "2d". The error is an *physics.InputError.
func ParseLasting(s string) (time.Duration, error) {
	refuse := func(why, fix string) (time.Duration, error) {
		return 0, &physics.InputError{What: "time", Text: s, Why: why, Fix: fix}
	}
	const like = "write it like 90s, 40min, 2h or 3d"
	rest := strings.TrimPrefix(strings.TrimSpace(s), "+")
	if rest == "" {
		return refuse("is empty", like)
	}
	sum := 0.0
	for rest != "" {
		n := len(rest) - len(strings.TrimLeft(rest, "0123456789."))
		v, err := strconv.ParseFloat(rest[:n], 64)
		if err != nil {
			return refuse("is no time", like)
		}
		rest = strings.TrimLeft(rest[n:], " ")
		if rest == "" {
			return refuse("has no unit", "write "+strings.TrimSpace(s)+"min, "+strings.TrimSpace(s)+"s or "+strings.TrimSpace(s)+"h")
		}
		known := false
		for _, u := range lastings {
			after, found := strings.CutPrefix(rest, u.name)
			if found && (after == "" || strings.ContainsRune(" .0123456789", rune(after[0]))) {
				sum, rest, known = sum+v*u.is.Seconds(), strings.TrimLeft(after, " "), true
				break
			}
		}
		if !known {
			return refuse("has an unknown unit of time", like)
		}
	}
	if sum > longest.Seconds() {
		return refuse("is longer than ten years", like)
	}
	return time.Duration(math.Round(sum * 1e9)), nil
}

// Later is the moment so many seconds later.
func (w When) Later(seconds float64) When {
	d := time.Duration(math.Round(seconds * 1e9))
	if w.Dated() {
		return When{Time: w.Time.Add(d)}
	}
	return When{After: w.After + d}
}
