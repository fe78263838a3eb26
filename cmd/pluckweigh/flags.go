package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/physics/spelling"
)

// A quantity is a flag that takes a number with a unit, and if wanted a
// tolerance.
type quantity[Q physics.Quantity] struct {
	physics.Measured[Q]
	role  physics.Role[Q]
	text  string
	given bool
}

func (v *quantity[Q]) Set(s string) (err error) {
	v.Measured, err = v.role.Parse(s)
	v.text, v.given = s, err == nil
	return err
}

func (v *quantity[Q]) String() string { return v.text }
func (v *quantity[Q]) Type() string   { return "quantity" }

// A frequency is a flag that takes hertz with their unit.
type frequency struct {
	hz          physics.Frequency
	what        string
	least, most physics.Frequency
}

// referencePitch is a flag that takes the frequency of A4.
func referencePitch() frequency {
	return frequency{hz: physics.ConcertPitch, what: "reference pitch", least: 300, most: 600}
}

func (v *frequency) Set(s string) error {
	f, err := physics.Parse[physics.Frequency](s)
	var input *physics.InputError
	if errors.As(err, &input) {
		input.What = v.what
	}
	if err != nil {
		return err
	}
	if f < v.least || f > v.most {
		return &physics.InputError{What: v.what, Text: s, Why: "is implausible",
			Fix: fmt.Sprintf("expected between %s and %s", v.least, v.most)}
	}
	v.hz = f
	return nil
}

func (v *frequency) String() string {
	if v.hz == 0 {
		return ""
	}
	return v.hz.String()
}
func (v *frequency) Type() string { return "frequency" }

// A pitch is a flag that takes a note or a frequency.
type pitch struct {
	text  string
	hz    physics.Frequency
	note  physics.Note
	named bool // it is a note
}

func (v *pitch) Set(s string) (err error) {
	p := pitch{text: s}
	switch first := strings.TrimLeft(s, "+-−. ") + " "; {
	case '0' <= first[0] && first[0] <= '9':
		p.hz, err = physics.Parse[physics.Frequency](s)
	case strings.ContainsRune("ABCDEFGHabcdefgh", rune(first[0])):
		p.named = true
		p.note, err = physics.ParseNote(s)
	default:
		err = &physics.InputError{What: "note expected", Text: s, Why: "is neither a note nor a frequency", Fix: "write it like A1 or 55Hz"}
	}
	if err == nil {
		*v = p
	}
	return err
}

func (v *pitch) String() string { return v.text }
func (v *pitch) Type() string   { return "note" }

// at is the pitch in hertz, 0 for none. It must lie where strings are heard.
func (v *pitch) at(a4 physics.Frequency) (physics.Frequency, error) {
	if v.text == "" {
		return 0, nil
	}
	const least, most = 20 * physics.Hertz, 1600 * physics.Hertz
	hz := v.hz
	if v.named {
		var err error
		if hz, err = v.note.Frequency(a4); err != nil {
			return 0, err
		}
	}
	if hz < least || hz > most {
		return 0, &physics.InputError{What: "note expected", Text: v.text, Why: "is out of range",
			Fix: fmt.Sprintf("expected between %s and %s, about E0 to G6", least, most)}
	}
	return hz, nil
}

// seconds is a flag that takes a time; its name says the unit, which may be typed.
type seconds float64

// shortest is shorter than any pluck that could be measured.
const shortest = 0.1 // s

func (v *seconds) Set(s string) error {
	f, err := strconv.ParseFloat(strings.TrimSuffix(s, "s"), 64)
	if err != nil || !(f > 0) || math.IsInf(f, 0) {
		return &physics.InputError{What: "seconds", Text: s, Why: "is not a time above zero", Fix: "write it like 5 or 2.5"}
	}
	if f < shortest {
		return &physics.InputError{What: "seconds", Text: s, Why: "is too short to hear a pluck", Fix: "write it like 5 or 2.5"}
	}
	*v = seconds(f)
	return nil
}

func (v *seconds) String() string {
	if *v == 0 {
		return ""
	}
	return strconv.FormatFloat(float64(*v), 'g', -1, 64)
}
func (v *seconds) Type() string { return "seconds" }

// ends is a flag that says how the string is held.
type ends struct {
	physics.Ends
	given bool
	known bool // the length given contains what they do
}

func (v *ends) Set(s string) (err error) {
	v.Ends, err = physics.ParseEnds(s)
	v.given = err == nil
	if v.known && err == nil {
		return v.contained()
	}
	return err
}

// contained takes ends that the length contains as pinned.
func (v *ends) contained() error {
	if v.given {
		return &physics.InputError{What: "ends", Why: "are part of the calibrated length already", Fix: "leave --ends out"}
	}
	v.Ends, v.known = physics.EndsPinned, true
	return nil
}
func (v *ends) Type() string { return "how" }

// flagError words what is wrong with a flag.
func flagError(cmd *cobra.Command, err error) error {
	var (
		invalid *pflag.InvalidValueError
		input   *physics.InputError
		unknown *pflag.NotExistError
		lacking *pflag.ValueRequiredError
		call    *callError
	)
	see := seeHelp(cmd)
	switch {
	case errors.As(err, &invalid) && errors.Is(err, errTwice):
		return &callError{fmt.Sprintf("--%s %v", invalid.GetFlag().Name, errTwice), "keep the one that is meant"}
	case errors.As(err, &invalid) && errors.As(err, &input):
		return about(invalid.GetFlag().Name, input)
	case errors.As(err, &invalid) && errors.As(err, &call):
		return about(invalid.GetFlag().Name, call)
	case errors.As(err, &invalid):
		return &callError{fmt.Sprintf("--%s: %q is not accepted", invalid.GetFlag().Name, invalid.GetValue()), see}
	case errors.As(err, &lacking):
		return &callError{fmt.Sprintf("--%s needs a value", lacking.GetFlag().Name), see}
	case errors.As(err, &unknown):
		if short := unknown.GetSpecifiedShortnames(); short != "" {
			return &callError{fmt.Sprintf("there is no flag -%s", short), see}
		}
		name := unknown.GetSpecifiedName()
		e := &callError{fmt.Sprintf("%s has no flag --%s", cmd.CommandPath(), name), see}
		var flags []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { flags = append(flags, f.Name) })
		if near := meant(name, flags); near != "" {
			e.do = fmt.Sprintf("did you mean --%s?", near)
		}
		return e
	}
	return &callError{err.Error(), see}
}

// about words what is wrong with the value of a flag.
func about(flag string, err error) error { return concerning("--"+flag, err) }

// concerning is an error of what was typed, with the hint that it has.
func concerning(what string, err error) error {
	e := &callError{what: what + ": " + err.Error()}
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		e.do = hinted.Hint()
	}
	return e
}

// meant is the name that somebody who typed s meant: that of which s is the
// beginning, if it is one alone, or the one spelled most like it. Empty for none.
func meant(s string, names []string) string {
	var begun []string
	for _, name := range names {
		if s != "" && strings.HasPrefix(name, strings.ToLower(s)) {
			begun = append(begun, name)
		}
	}
	if len(begun) == 1 {
		return begun[0]
	}
	return spelling.Nearest(s, names)
}

// ppm is a flag that takes parts per million; its name says the unit, which may be
// typed.
type ppm float64

func (v *ppm) Set(s string) error {
	f, err := strconv.ParseFloat(strings.TrimSuffix(s, "ppm"), 64)
	if err != nil || !(f > 0 && f <= 5000) {
		return &physics.InputError{What: "parts per million", Text: s, Why: "is not a number above zero and below 5000", Fix: "write it like 0.5"}
	}
	*v = ppm(f)
	return nil
}

func (v *ppm) String() string {
	if *v == 0 {
		return ""
	}
	return strconv.FormatFloat(float64(*v), 'g', -1, 64)
}
func (v *ppm) Type() string { return "ppm" }
