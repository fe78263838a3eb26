// Package calib holds what corrects a reading, measured once and applied since,
// each with its uncertainty.
package calib

import (
	"fmt"
	"math"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// A Clock says how fast a recorder's sample clock runs against true time. A
// clock that runs PPM parts per million fast takes that many samples too many in
// a second, so what it records sounds lower than it was by as much.
type Clock struct {
	PPM    float64 // how fast it runs, parts per million; negative if slow
	U      float64 // standard uncertainty of PPM
	Source string  // where the two come from, for a person
	// Assumed marks a clock that nobody measured.
	Assumed bool
}

// Uncalibrated is a recorder whose clock nobody measured. Cheap crystals are off
// by 20 to 200 ppm (common practice, no source); a rectangular distribution over
// ±100 ppm is assumed, so a standard uncertainty of 58 ppm, or 0.1 cent.
func Uncalibrated() Clock {
	return Clock{U: 100 / math.Sqrt(3), Source: "not calibrated: within ±100 ppm assumed", Assumed: true}
}

// usable is how far a clock may be off, in ppm, before something else is wrong:
// 44.1 kHz taken for 48 kHz is 88 000 ppm, a broken crystal some hundreds.
const usable = 5000

// Check says what is wrong with a clock, if anything, as a *physics.InputError.
func (c Clock) Check() error {
	if !(math.Abs(c.PPM) <= usable) {
		return &physics.InputError{What: "recorder clock",
			Why: fmt.Sprintf("cannot be off by %g ppm", c.PPM), Fix: "check the sample rate"}
	}
	if !(c.U >= 0 && c.U <= usable) {
		return &physics.InputError{What: "recorder clock",
			Why: fmt.Sprintf("must have an uncertainty between 0 and %d ppm, not %g", usable, c.U)}
	}
	return nil
}

// odd is how far a clock may be off, in ppm, before it is a wonder.
const odd = 500

// Odd tells whether the clock is further off than a crystal is: what it was compared
// with may have been something else.
func (c Clock) Odd() bool { return math.Abs(c.PPM) > odd }

// worth says what is wrong with a clock that was measured, if anything: also where
// less is known of it than of one that nobody measured.
func (c Clock) worth(fix string) error {
	if err := c.Check(); err != nil {
		return err
	}
	if least := Uncalibrated().U; c.U >= least {
		return &physics.InputError{What: "recorder clock",
			Why: fmt.Sprintf("comes out to ± %.2g ppm, which is no better than the ± %.2g ppm of one not calibrated", c.U, least), Fix: fix}
	}
	return nil
}

// True is the frequency that was there, given one as recorded. Its uncertainty
// does not contain the clock's, which all frequencies from one recorder share:
// hand Relative to the physics beside it.
func (c Clock) True(heard detect.Value) (detect.Value, error) {
	if err := c.Check(); err != nil {
		return detect.Value{}, err
	}
	factor := 1 + c.PPM*1e-6
	return detect.Value{V: heard.V * factor, U: heard.U * factor}, nil
}

// Relative is the clock's uncertainty as that of any frequency corrected by True, and
// says which calibration it comes from.
func (c Clock) Relative() physics.Relative {
	said := c.Source
	switch {
	case c == Uncalibrated():
		said = "" // the term says that it is assumed
	case !c.Assumed:
		said = fmt.Sprintf("%+.1f ppm, %s", c.PPM, c.Source)
	}
	return physics.Relative{U: c.U * 1e-6 / (1 + c.PPM*1e-6), Assumed: c.Assumed, Said: said}
}

// String is the clock with its expanded uncertainty (k = 2), of two significant
// digits: "+34.2 ± 2.1 ppm".
func (c Clock) String() string {
	u := physics.Coverage * c.U
	digits := 0
	if u > 0 {
		digits = min(max(0, 1-int(math.Floor(math.Log10(u)))), 6)
	}
	return fmt.Sprintf("%+.*f ± %.*f ppm", digits, c.PPM, digits, u)
}
