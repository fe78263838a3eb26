package stock

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A String is one kind of string that its owner has, and how many of it.
type String struct {
	// String has in UnitWeight, Outside and Stiffness the best values out of
	// Measurements, and in Core what follows of them and Material.
	traits.String
	Material string // of a plain string or of the core, as physics knows it; empty for not known
	Label    string // what it came labelled as
	ByGauge  bool   // the unit weight is that of a plain wire of this diameter and material, none having been measured

	// How well the measurements agree of which these are the mean.
	WeightAgreement, OutsideAgreement, StiffnessAgreement Agreement

	Measurements []Measurement // the earliest kept first
}

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
	if s.Kind < traits.EitherKind || s.Kind > traits.Wound {
		return &physics.InputError{What: "kind of string", Text: s.Kind.String(), Why: "is not known", Fix: "use EitherKind, Plain or Wound"}
	}
	if s.Material != "" {
		if _, err := physics.ParseMaterial(s.Material); err != nil {
			return err
		}
	}
	if s.Left < traits.Uncounted {
		return &physics.InputError{What: "number left", Text: fmt.Sprint(s.Left), Why: "is below zero", Fix: "write how many there are, like 3"}
	}
	for _, m := range s.Measurements {
		if err := m.Check(); err != nil {
			return err
		}
	}
	return nil
}

// settle works out what follows of the measurements.
func (s *String) settle() { s.settleOf(s.madeOf()) }

// madeOf is the string's material, empty for not known.
func (s *String) madeOf() physics.Material {
	if s.Material == "" {
		return physics.Material{}
	}
	m, err := physics.ParseMaterial(s.Material)
	if err != nil {
		return physics.Material{}
	}
	return m
}

// settleOf works out the best values of what was measured, and the core that follows of
// them if the string is of a material.
func (s *String) settleOf(m physics.Material) {
	s.UnitWeight, s.WeightAgreement = Combine[physics.UnitWeight](s.of(UnitWeight))
	s.Outside, s.OutsideAgreement = Combine[physics.Length](s.of(Outside))
	s.Stiffness, s.StiffnessAgreement = Combine[physics.BendingStiffness](s.of(Stiffness))
	s.Core = physics.Core{}
	if m.Name != "" {
		s.Core = s.CoreOf(m)
	}
	if s.ByGauge = s.UnitWeight.Value == 0 && s.Kind == traits.Plain && s.Outside.Value > 0 && m.Density.Value > 0; s.ByGauge {
		// As physics.PlainWire has it, without a budget: there may be many strings.
		d := float64(s.Outside.Value)
		w := physics.UnitWeight(float64(m.Density.Value) * math.Pi / 4 * d * d)
		s.UnitWeight = physics.Stated(w, w*physics.UnitWeight(math.Hypot(2*s.Outside.Relative(), m.Density.Relative())))
	}
	weighed := func(m Measurement) bool { return m.Route != Built }
	s.OfGauge = s.Kind == traits.Plain && s.UnitWeight.Value > 0 && s.Outside.Value > 0 && !slices.ContainsFunc(s.of(UnitWeight), weighed)
}

// complete returns an error where not so many measurements were read as there are.
func (s *String) complete(measured int) error {
	if len(s.Measurements) == measured {
		return nil
	}
	return &damageError{fmt.Sprintf("the string %q", s.Name), fmt.Errorf("%d of its measurements are missing", measured-len(s.Measurements))}
}

// Best is the best value of a property, without a route, and how well the measurements
// agree of which it is the mean. It is all zero where there are none.
func (s String) Best(p Property) (Measurement, Agreement) {
	switch p {
	case UnitWeight:
		return Measure(s.UnitWeight, "", time.Time{}, ""), s.WeightAgreement
	case Outside:
		return Measure(s.Outside, "", time.Time{}, ""), s.OutsideAgreement
	}
	return Measure(s.Stiffness, "", time.Time{}, ""), s.StiffnessAgreement
}

// Disagree tells whether measurements of one of its properties do.
func (s *String) Disagree() bool {
	return s.WeightAgreement.Disagree() || s.OutsideAgreement.Disagree() || s.StiffnessAgreement.Disagree()
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

// fill takes over from x what is not known of the string, and tells whether there was
// something. The error is an *physics.InputError where x is said to be something else.
func (s *String) fill(x String) (filled bool, err error) {
	is := *s
	kind, e1 := fillIn(s.Name, "kind", &is.Kind, x.Kind, traits.EitherKind)
	of, e2 := fillIn(s.Name, "material", &is.Material, material(x.Material), "")
	label, e3 := fillIn(s.Name, "label", &is.Label, x.Label, "")
	left, e4 := fillIn(s.Name, "number left", &is.Left, x.Left, traits.Uncounted)
	if err := cmp.Or(e1, e2, e3, e4); err != nil {
		return false, err
	}
	*s = is
	return kind || of || label || left, nil
}

// fillIn takes over what is said where it is not known.
func fillIn[T comparable](name, what string, is *T, said, unknown T) (bool, error) {
	if said == unknown || said == *is {
		return false, nil
	}
	if *is != unknown {
		return false, &physics.InputError{What: what, Text: fmt.Sprint(said), Why: fmt.Sprintf("is not what is in stock of %q: %v", name, *is),
			Fix: "check the name, or change what is in stock with `pluckweigh stock edit`"}
	}
	*is = said
	return true, nil
}
