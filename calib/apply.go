package calib

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"pluckweigh/physics"
)

// ClockFor picks from what is kept the clock of a recorder at a sample rate, Hz. Of
// another recorder, of another rate (another crystal or a resampler may make it) or
// out of date none is applied: the clock is that of Uncalibrated then, and remark
// says why where it is this recorder's.
func ClockFor(all []Entry, recorder string, rate float64, now time.Time) (c Clock, remark string) {
	c = Uncalibrated()
	var rates, others []string
	for _, e := range all {
		switch {
		case e.Kind != ClockKind:
		case e.Name != recorder:
			others = append(others, e.Name)
		case e.Rate != rate:
			rates = append(rates, fmt.Sprintf("%g Hz", e.Rate))
		case e.Expired(now):
			return c, fmt.Sprintf("the clock of %s was calibrated on %s, which is too long ago: it is not applied, calibrate it again", recorder, Day(e.Made))
		default:
			return e.Clock(), ""
		}
	}
	if len(rates) > 0 {
		return c, fmt.Sprintf("the clock of %s was calibrated at %s, not at this take's %g Hz: it is not applied", recorder, strings.Join(rates, " and "), rate)
	}
	if len(others) > 0 {
		slices.Sort(others)
		c.Source = "not calibrated; that of " + strings.Join(slices.Compact(others), ", ") + " is not applied"
	}
	return c, ""
}

// RecorderNamed is the full name of the recorder that is meant by a part of it, in
// any case: of those whose clocks are kept. The error is an *physics.InputError.
func RecorderNamed(all []Entry, name string) (string, error) {
	e, err := named(all, ClockKind, "recorder", "pluckweigh calibrate clock or tone", name)
	return e.Name, err
}

// Rigs lists the rigs that are kept and not out of date.
func Rigs(all []Entry, now time.Time) (rigs []Rig) {
	for _, e := range all {
		if e.Kind == RigKind && !e.Expired(now) {
			rigs = append(rigs, e.Rig())
		}
	}
	return rigs
}

// RigNamed is the rig that is meant by a name or a part of it, in any case. The
// error is an *physics.InputError: none of that name, several, or one out of date.
func RigNamed(all []Entry, name string, now time.Time) (Rig, error) {
	e, err := current(all, RigKind, "rig", "pluckweigh calibrate rig", name, now)
	return e.Rig(), err
}

// LengthNamed is the entry of the speaking length that is meant by a name or a part
// of it, in any case. Errors are as those of RigNamed.
func LengthNamed(all []Entry, name string, now time.Time) (Entry, error) {
	return current(all, LengthKind, "speaking length", "pluckweigh calibrate length", name, now)
}

// current is named, of what is not out of date.
func current(all []Entry, k Kind, what, command, name string, now time.Time) (Entry, error) {
	e, err := named(all, k, what, command, name)
	if err == nil && e.Expired(now) {
		return Entry{}, &physics.InputError{What: what, Text: e.Name,
			Why: "was calibrated on " + Day(e.Made) + ", which is too long ago", Fix: "calibrate it again with " + command}
	}
	return e, err
}

// named finds the entry of a kind by its name, or by a part that no other has.
func named(all []Entry, k Kind, what, command, name string) (Entry, error) {
	var names, part []string
	by := map[string]Entry{}
	for _, e := range all {
		if e.Kind != k {
			continue
		}
		if _, twice := by[e.Name]; !twice { // a recorder at several rates
			names = append(names, e.Name)
			if strings.Contains(strings.ToLower(e.Name), strings.ToLower(name)) {
				part = append(part, e.Name)
			}
		}
		by[e.Name] = e
	}
	if e, ok := by[name]; ok {
		return e, nil
	}
	switch {
	case name == "" || len(part) == 0 && len(names) > 0:
		return Entry{}, &physics.InputError{What: what, Text: name, Why: "is not among those calibrated", Fix: listing(names)}
	case len(part) == 0:
		return Entry{}, &physics.InputError{What: what, Text: name, Why: "was never calibrated", Fix: "do so with " + command}
	case len(part) > 1:
		return Entry{}, &physics.InputError{What: what, Text: name, Why: "could be several", Fix: "name one of " + quoted(part)}
	}
	return by[part[0]], nil
}

// listing says which names there are.
func listing(names []string) string {
	if len(names) == 1 {
		return "there is " + quoted(names)
	}
	return "there are " + quoted(names)
}

// quoted lists names in order as people do.
func quoted(names []string) string {
	slices.Sort(names)
	var out strings.Builder
	for i, name := range names {
		switch {
		case i > 0 && i == len(names)-1:
			out.WriteString(" and ")
		case i > 0:
			out.WriteString(", ")
		}
		out.WriteString(strconv.Quote(name))
	}
	return out.String()
}
