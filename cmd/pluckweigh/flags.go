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

func (v *frequency) Set(s string) error {
	f, err := physics.Parse[physics.Frequency](s)
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
	frequency
	note  physics.Note
	named bool // it is a note
}

func (v *pitch) Set(s string) error {
	if s != "" && strings.ContainsRune("0123456789.+-", rune(s[0])) {
		v.named = false
		return v.frequency.Set(s)
	}
	n, err := physics.ParseNote(s)
	v.note, v.named = n, err == nil
	return err
}

func (v *pitch) String() string {
	if v.named {
		return v.note.String()
	}
	return v.frequency.String()
}
func (v *pitch) Type() string { return "note" }

// at is the pitch in hertz, 0 for none.
func (v *pitch) at(a4 physics.Frequency) (physics.Frequency, error) {
	if v.named {
		return v.note.Frequency(a4)
	}
	return v.hz, nil
}

// seconds is a flag that takes a time; its name says the unit, which may be typed.
type seconds float64

func (v *seconds) Set(s string) error {
	f, err := strconv.ParseFloat(strings.TrimSuffix(s, "s"), 64)
	if err != nil || !(f > 0) || math.IsInf(f, 0) {
		return &physics.InputError{What: "seconds", Text: s, Why: "is not a time above zero", Fix: "write it like 5 or 2.5"}
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
type ends struct{ physics.Ends }

func (v *ends) Set(s string) (err error) {
	v.Ends, err = physics.ParseEnds(s)
	return err
}
func (v *ends) Type() string { return "how" }

// flagError words what is wrong with a flag.
func flagError(cmd *cobra.Command, err error) error {
	var (
		invalid *pflag.InvalidValueError
		input   *physics.InputError
		unknown *pflag.NotExistError
		lacking *pflag.ValueRequiredError
	)
	see := seeHelp(cmd)
	switch {
	case errors.As(err, &invalid) && errors.As(err, &input):
		return &callError{"--" + invalid.GetFlag().Name + ": " + input.Error(), input.Hint()}
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
		if near := nearestFlag(cmd, name); near != "" {
			e.do = fmt.Sprintf("did you mean --%s?", near)
		}
		return e
	}
	return &callError{err.Error(), see}
}

// nearestFlag is the flag spelled most like name, by cobra's measure for commands.
func nearestFlag(cmd *cobra.Command, name string) string {
	flags := &cobra.Command{SuggestionsMinimumDistance: 2}
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		flags.AddCommand(&cobra.Command{Use: f.Name, Run: func(*cobra.Command, []string) {}})
	})
	if near := flags.SuggestionsFor(name); len(near) > 0 {
		return near[0]
	}
	return ""
}
