package calib

import "fmt"

// A Reference is what a recorder's clock is counted against: the system's clock.
type Reference struct {
	U    float64 // standard uncertainty of its rate, ppm
	Said string  // what is known of it, for a person
	// Adrift marks a clock that is known to be kept by nothing: what is counted
	// against it is hardly better than no calibration.
	Adrift bool
}

// Standard uncertainties assumed of a system clock's rate, ppm (common practice, no
// source).
const (
	// kept by network time: some tenths of a ppm once it has settled, more while an
	// offset is being worked off
	disciplined = 0.5
	// kept by nothing: a crystal within ±50 ppm, anywhere in there equally likely
	adrift = 29
	// of which it is not known: most are kept by network time today
	unknown = 5
)

// keeping is what the system says of its clock.
type keeping int

const (
	keepingUnknown keeping = iota
	kept
	notKept
)

// SystemClock says what may be assumed of the rate of this system's clock.
func SystemClock() Reference { return referenceOf(keptBy()) }

func referenceOf(k keeping) Reference {
	switch k {
	case kept:
		return Reference{U: disciplined, Said: fmt.Sprintf("which network time keeps, ± %g ppm assumed", disciplined)}
	case notKept:
		return Reference{U: adrift, Said: fmt.Sprintf("which nothing keeps, ± %d ppm assumed", adrift), Adrift: true}
	}
	return Reference{U: unknown, Said: fmt.Sprintf("of which it is not known whether network time keeps it, ± %d ppm assumed", unknown)}
}

// StatedReference is a system's clock of which somebody states the standard
// uncertainty of the rate, ppm.
func StatedReference(u float64) Reference {
	return Reference{U: u, Said: fmt.Sprintf("± %g ppm stated", u)}
}
