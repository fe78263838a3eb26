// Package traits is what is known of a string that one owns, as numbers: enough to
// choose it for an instrument or to recognise it. It knows no storage.
package traits

import (
	"fmt"
	"math"

	"pluckweigh/physics"
)

// A String is one kind of string in stock. What is not known is all zero.
type String struct {
	Name string // its owner's own, unlike any other
	// UnitWeight has in its uncertainty also how one copy differs from the next.
	UnitWeight physics.Measured[physics.UnitWeight]
	Outside    physics.Measured[physics.Length] // diameter over all
	// Stiffness is E·I as heard; where it is not known, that of Core counts.
	Stiffness physics.Measured[physics.BendingStiffness]
	Core      physics.Core // of a plain string all of it
	// OfGauge tells that UnitWeight is worked out from Outside: if one is off, both are.
	OfGauge bool
	Kind    Kind
	Left    int // how many there are; Uncounted where nobody said
}

// Uncounted stands for a number of strings that nobody said: there are as many as
// are wanted.
const Uncounted = -1

// Kind is whether a string is plain or wound.
type Kind int

const (
	EitherKind Kind = iota // not known, or not asked for
	Plain
	Wound
)

// String names the kind in a word, and with none one that is not known.
func (k Kind) String() string {
	switch k {
	case EitherKind:
		return ""
	case Plain:
		return "plain"
	case Wound:
		return "wound"
	}
	return "no kind"
}

// ParseKind reads "plain", "wound" or nothing. The error is an *physics.InputError.
func ParseKind(s string) (Kind, error) {
	for k := EitherKind; k <= Wound; k++ {
		if s == k.String() {
			return k, nil
		}
	}
	return EitherKind, &physics.InputError{What: "kind of string", Text: s, Why: "is not known", Fix: "write plain or wound"}
}

// Suits tells whether a string of this kind may be one of that: what is not known
// may be either.
func (k Kind) Suits(that Kind) bool { return k == that || k == EitherKind || that == EitherKind }

// Cored tells whether the core is known.
func (s *String) Cored() bool { return s.Core.Size.Value != 0 }

// Stiff is the bending stiffness, as heard or as the core has it; all zero where
// neither is known.
func (s *String) Stiff() physics.Measured[physics.BendingStiffness] {
	if s.Stiffness.Value != 0 || !s.Cored() {
		return s.Stiffness
	}
	// As Core.Stiffness has it, without a budget: there may be many strings.
	ei := s.Core.EI()
	u := math.Hypot(4*s.Core.Size.Relative(), s.Core.Of.Modulus.Relative())
	return physics.Measured[physics.BendingStiffness]{Value: ei, U: ei * physics.BendingStiffness(u)}
}

// Check returns an *InputError, naming the string, for values that cannot be, and for a
// string without unit weight.
func (s *String) Check() error {
	if s.UnitWeight.Value == 0 {
		return s.about(impossible("unit weight"))
	}
	return s.CheckKnown()
}

// CheckKnown is Check for a string of which the unit weight may not be known.
func (s *String) CheckKnown() error {
	if err := s.check(); err != nil {
		return s.about(err)
	}
	return nil
}

func (s *String) about(err *physics.InputError) error {
	err.What = fmt.Sprintf("%s of string %q", err.What, s.Name)
	return err
}

func (s *String) check() *physics.InputError {
	switch {
	case s.Kind < EitherKind || s.Kind > Wound:
		return &physics.InputError{What: "kind", Why: "is not one of those known", Fix: "use EitherKind, Plain or Wound"}
	case s.Left < Uncounted:
		return &physics.InputError{What: "number left", Why: "cannot be below zero"}
	case !possible(s.UnitWeight):
		return impossible("unit weight")
	case !possible(s.Outside):
		return impossible("outside diameter")
	case !possible(s.Stiffness):
		return impossible("bending stiffness")
	case !possible(s.Core.Size):
		return impossible("core")
	}
	if !s.Cored() {
		return nil
	}
	of := &s.Core.Of
	switch {
	case s.Core.Shape != physics.Round && s.Core.Shape != physics.Hexagonal:
		return &physics.InputError{What: "shape of the core", Why: "is not one of those known", Fix: "use Round or Hexagonal"}
	case !(of.Modulus.Value > 0) || !possible(of.Modulus) || !(of.Density.Value > 0) || !possible(of.Density):
		return &physics.InputError{What: "core", Why: "is of a material without density or modulus", Fix: "name one that is known"}
	}
	return nil
}

func impossible(what string) *physics.InputError {
	return &physics.InputError{What: what, Why: "must be a number above zero with its uncertainty"}
}

// possible tells whether a quantity is all zero, or positive and finite with an
// uncertainty that is not negative.
func possible[Q physics.Quantity](m physics.Measured[Q]) bool {
	finite := m.Value-m.Value == 0 && m.U-m.U == 0
	return finite && m.U >= 0 && (m.Value > 0 || m.Value == 0 && m.U == 0)
}
