package stock

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"pluckweigh/physics"
)

// A Winding says whether a string is wound.
type Winding string

// What a string may be. The empty one is not known.
const (
	Plain Winding = "plain"
	Wound Winding = "wound"
)

// ParseWinding reads "plain", "wound" or nothing. The error is an
// *physics.InputError.
func ParseWinding(s string) (Winding, error) {
	switch w := Winding(s); w {
	case "", Plain, Wound:
		return w, nil
	}
	return "", &physics.InputError{What: "kind of string", Text: s, Why: "is not known", Fix: "write plain or wound"}
}

// A String is one kind of string that its owner has, and how many of it.
type String struct {
	Name     string // its owner's own, unlike any other
	Winding  Winding
	Material string // of a plain string or of the core, as physics knows it; empty for not known
	Label    string // what it came labelled as
	Left     int    // how many there are; Uncounted where nobody said

	// Best values out of Measurements. A Value of zero is not known.
	UnitWeight physics.Measured[physics.UnitWeight]
	Outside    physics.Measured[physics.Length]           // diameter
	Stiffness  physics.Measured[physics.BendingStiffness] // E·I of the core

	// How well the measurements agree of which these are the mean.
	WeightAgreement, OutsideAgreement, StiffnessAgreement Agreement

	Measurements []Measurement // the earliest kept first
}

// Uncounted stands for a number of strings that nobody said.
const Uncounted = -1

// longest is the most bytes that a text may have.
const longest = 200

// checkName returns an *physics.InputError for what cannot be the name of a string
// or an instrument.
func checkName(what, name string) error {
	if err := checkText(what, name); err != nil {
		return err
	}
	if name == "" || strings.TrimSpace(name) != name {
		return &physics.InputError{What: what, Text: name, Why: "is empty or has spaces about it", Fix: "write it like E1-46"}
	}
	return nil
}

// checkText returns an *physics.InputError for a text that cannot be kept and
// written out again, each in its line.
func checkText(what, s string) error {
	switch {
	case !utf8.ValidString(s):
		return &physics.InputError{What: what, Text: s, Why: "is not written in UTF-8", Fix: "save the text as UTF-8"}
	case strings.ContainsFunc(s, unicode.IsControl):
		return &physics.InputError{What: what, Text: s, Why: "has characters that cannot be printed", Fix: "keep it to one line of plain text"}
	case len(s) > longest:
		return &physics.InputError{What: what, Text: s, Why: fmt.Sprintf("is longer than %d bytes", longest), Fix: "write it shorter"}
	}
	return nil
}

// Check returns an *physics.InputError for a string that cannot be kept.
func (s String) Check() error {
	if err := checkName("name of a string", s.Name); err != nil {
		return err
	}
	if err := checkText("label", s.Label); err != nil {
		return err
	}
	if _, err := ParseWinding(string(s.Winding)); err != nil {
		return err
	}
	if s.Material != "" {
		if _, err := physics.ParseMaterial(s.Material); err != nil {
			return err
		}
	}
	if s.Left < Uncounted {
		return &physics.InputError{What: "number left", Text: fmt.Sprint(s.Left), Why: "is below zero", Fix: "write how many there are, like 3"}
	}
	for _, m := range s.Measurements {
		if err := m.Check(); err != nil {
			return err
		}
	}
	return nil
}

// settle works the best values out of the measurements.
func (s *String) settle() {
	s.UnitWeight, s.WeightAgreement = Combine[physics.UnitWeight](s.of(UnitWeight))
	s.Outside, s.OutsideAgreement = Combine[physics.Length](s.of(Outside))
	s.Stiffness, s.StiffnessAgreement = Combine[physics.BendingStiffness](s.of(Stiffness))
}

// of lists the measurements of one property that count.
func (s *String) of(p Property) []Measurement {
	var out []Measurement
	for _, m := range s.Measurements {
		if m.Property == p && m.SetAside == "" {
			out = append(out, m)
		}
	}
	return out
}
