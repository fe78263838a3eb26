package stock

import (
	"fmt"
	"math"
	"time"

	"pluckweigh/physics"
)

// A Property is what of a string was measured.
type Property string

// The properties.
const (
	UnitWeight Property = "unit weight"      // kg/m
	Outside    Property = "outside diameter" // m
	Stiffness  Property = "core stiffness"   // E·I, N·m²
)

// Properties lists them, in the order in which they are shown.
func Properties() []Property { return []Property{UnitWeight, Outside, Stiffness} }

// Stated is the route of what somebody said.
const Stated = "stated"

// Built is the route of what is worked out from diameters and materials.
const Built = "build"

// A Measurement is one value found of a string. It stays as it was kept.
type Measurement struct {
	ID       int64 // in the file; 0 before it is kept
	Property Property
	Value, U float64 // in SI; the standard uncertainty is above zero
	DoF      float64 // degrees of freedom of U; 0 for unlimited
	Assumed  bool    // nobody stated U
	// Route is how it was found, such as "clip" or "micrometer": measurements of one
	// route share what it may be wrong by.
	Route string
	Made  time.Time // in UTC, to the second; zero for not known
	// Reading is what it was found from, for whoever looks back; may be empty.
	Reading string
	// SetAside says why it no longer counts; empty where it does.
	SetAside string
}

// Measure is a measurement of a property of which m was found.
func Measure[Q physics.UnitWeight | physics.Length | physics.BendingStiffness](m physics.Measured[Q], route string, made time.Time, reading string) Measurement {
	p := UnitWeight
	switch any(m.Value).(type) {
	case physics.Length:
		p = Outside
	case physics.BendingStiffness:
		p = Stiffness
	}
	return Measurement{Property: p, Value: float64(m.Value), U: float64(m.U), DoF: m.DoF, Assumed: m.Assumed,
		Route: route, Made: made.UTC().Truncate(time.Second), Reading: reading}
}

// String prints the value with its expanded uncertainty (k = 2), for a person.
func (m Measurement) String() string {
	switch m.Property {
	case UnitWeight:
		return physics.Stated(physics.UnitWeight(m.Value), physics.UnitWeight(m.U)).Expanded(physics.Coverage)
	case Outside:
		return physics.Stated(physics.Length(m.Value), physics.Length(m.U)).Expanded(physics.Coverage)
	}
	return physics.Stated(physics.BendingStiffness(m.Value), physics.BendingStiffness(m.U)).Expanded(physics.Coverage)
}

// Beside is where a measurement lies beside the best value: by what fraction of it,
// and over its own expanded uncertainty (k = 2).
func (m Measurement) Beside(best Measurement) (relative, over float64) {
	d := m.Value - best.Value
	return d / best.Value, d / (physics.Coverage * m.U)
}

// roughest is the standard uncertainty, as a fraction of the value, from which on a
// measurement is none: the value could as well be zero. A stiffness is heard no better
// in places.
const roughest = 0.5

// Check returns an *physics.InputError for a measurement that cannot be kept.
func (m Measurement) Check() error {
	var err error
	switch m.Property {
	case UnitWeight:
		err = physics.StringWeight.Check(physics.UnitWeight(m.Value))
	case Outside:
		err = physics.Gauge.Check(physics.Length(m.Value))
	case Stiffness:
		err = physics.Role[physics.BendingStiffness](Stiffness).Check(physics.BendingStiffness(m.Value))
	default:
		err = &physics.InputError{What: "property", Text: string(m.Property), Why: "is none of a string"}
	}
	if err != nil {
		return err
	}
	what := string(m.Property)
	switch {
	case !(m.U > 0) || math.IsInf(m.U, 0):
		return &physics.InputError{What: what, Why: "has no standard uncertainty", Fix: "give one above zero, k = 1"}
	case m.U > roughest*m.Value:
		return &physics.InputError{What: what, Why: "is too uncertain to be worth keeping",
			Fix: fmt.Sprintf("its standard uncertainty may be up to %g %% of it", 100*roughest)}
	case !(m.DoF >= 0) || math.IsInf(m.DoF, 0):
		return &physics.InputError{What: what, Why: "has impossible degrees of freedom", Fix: "give a number above zero, or none for unlimited"}
	}
	if err := checkText("route", m.Route); err != nil {
		return err
	}
	if err := checkText("why it is set aside", m.SetAside); err != nil {
		return err
	}
	if m.Route == "" {
		return &physics.InputError{What: what, Why: "does not say how it was found", Fix: "give the route, like micrometer or balance"}
	}
	if y := m.Made.Year(); !m.Made.IsZero() && (y < 1 || y > 9999) {
		return &physics.InputError{What: what, Why: "was measured in an impossible year"}
	}
	return checkReading(m.Reading)
}

// LongestReading is the most bytes of a reading's text.
const LongestReading = 16000

// checkReading allows a reading to be longer than other texts.
func checkReading(s string) error {
	if len(s) > LongestReading {
		return &physics.InputError{What: "reading", Text: s, Why: fmt.Sprintf("is longer than %d bytes", LongestReading), Fix: "write it shorter"}
	}
	for len(s) > longest {
		cut := longest
		for cut > longest-4 && s[cut]&0xC0 == 0x80 { // not within a character
			cut--
		}
		if err := checkText("reading", s[:cut]); err != nil {
			return err
		}
		s = s[cut:]
	}
	return checkText("reading", s)
}
