package physics

import (
	"fmt"
	"math"
)

// A Fretted string is one heard at two frets, its tuning left alone between: what
// that says of its speaking length.
//
// At one tension f0 goes with 1/L, so with r the ratio of the two f0 and D the
// distance between the two frets, the longer speaking length is D·r/(r−1). Ends
// that are not quite where they seem, by clamping or by a bridge that gives, shift
// both lengths alike and so are part of the result: it is the length of a string
// with pinned ends that sounds the same. The clock of the recorder cancels.
//
// Pressing a string down stretches it, though, by some cents, and not alike at two
// frets. Two readings cannot tell that from a length: it is an uncertainty, Uneven.
type Fretted struct {
	// Low and High are the frets, 0 for the open string; Low is the nearer to the nut.
	Low, High int
	// AtLow and AtHigh are the f0 heard there.
	AtLow, AtHigh Measured[Frequency]
	// Scale is the nominal scale from which the frets are spaced, by the rule of
	// twelve equal semitones; or, where it is zero, Between is the measured distance
	// from one fret to the other (from the nut for 0).
	Scale, Between Measured[Length]
	// Uneven is the standard uncertainty of by how much more fretting raises one
	// pitch than the other, as a fraction of frequency.
	Uneven Relative
}

// UnevenAssumed is the Uneven of a string of which nobody said more: 3 cents. A bass
// or guitar string pressed down by 1.5 mm at half its length is raised by 1.4 to 2
// cents (strain h²/2·(1/a+1/b) times EA/T of 200 to 280), and by more where the finger
// pushes behind the fret.
func UnevenAssumed() Relative { return Relative{U: UnevenCents(3), Assumed: true} }

// pressedLightly is how well a stretch by fretting could be known: a third of what is
// assumed, by fingers that do no more than close the string on both frets (judgement).
func (r Relative) pressedLightly() Reach {
	if u := UnevenAssumed().U / 3; r.U > u {
		return Reach{u, "pressed down alike to ± 1 cent"}
	}
	return Reach{}
}

// UnevenCents is so many cents as a fraction of frequency.
func UnevenCents(cents float64) float64 { return cents * math.Ln2 / 1200 }

const (
	mostFret = 36
	// astray is how far the interval heard may lie off that of the frets, as a
	// fraction: half a semitone is 0.03.
	astray = 0.03
)

// Length is the speaking length of the open string where Scale is given, otherwise
// that at the lower fret. Terms of the budget: "scale" or "fret distance", "f0, lower
// fret", "f0, higher fret", "stretch by fretting". The error is an *InputError: frets
// that cannot be, or an interval that is not theirs.
func (s Fretted) Length() (Result[Length], error) {
	if err := s.check(); err != nil {
		return Result[Length]{}, err
	}
	r := float64(s.AtHigh.Value / s.AtLow.Value)
	g := r / (r - 1) // the lower length over the distance between the frets
	given, name, distance, nut := s.Between, "fret distance", 1.0, 0.0
	if s.Scale.Value > 0 {
		low, high := math.Exp2(-float64(s.Low)/12), math.Exp2(-float64(s.High)/12)
		given, name, distance, nut = s.Scale, "scale", low-high, 1-low
	}
	l := float64(given.Value) * (distance*g + nut)
	perRatio := -float64(given.Value) * distance * r / ((r - 1) * (r - 1)) // ∂l/∂(ln r)
	found, err := conclude(string(SpeakingLength), Length(l), given.Unit,
		power(name, given, l, 1),
		power("f0, lower fret", s.AtLow, -perRatio, 1), power("f0, higher fret", s.AtHigh, perRatio, 1),
		Term{Input: "stretch by fretting", Said: fmt.Sprintf("± %.2g cents", s.Uneven.U*1200/math.Ln2),
			U: s.Uneven.U, Sensitivity: perRatio, Assumed: s.Uneven.Assumed, Reach: s.Uneven.pressedLightly()})
	if err == nil {
		found.Model = Model{
			Inputs: []Input{Role[Length](name).input(given), Role[Frequency]("f0, lower fret").input(s.AtLow),
				Role[Frequency]("f0, higher fret").input(s.AtHigh), {Name: "stretch by fretting", Mean: 1, U: s.Uneven.U}},
			F: func(x []float64) float64 {
				r := x[2] / x[1] * x[3]
				return x[0] * (distance*r/(r-1) + nut)
			},
		}
	}
	return found, err
}

// CheckFrets says whether two frets are such as Length can do with. The error is an
// *InputError.
func (s Fretted) CheckFrets() error {
	if s.Low < 0 || s.High > mostFret || s.Low >= s.High {
		return &InputError{What: "frets", Why: fmt.Sprintf("cannot be %d and %d", s.Low, s.High),
			Fix: fmt.Sprintf("take two different ones from 0, the open string, to %d", mostFret)}
	}
	return nil
}

func (s Fretted) check() error {
	if err := s.CheckFrets(); err != nil {
		return err
	}
	if err := s.AtLow.check("f0 at the lower fret"); err != nil {
		return err
	}
	if err := s.AtHigh.check("f0 at the higher fret"); err != nil {
		return err
	}
	given, name := s.Scale, string(SpeakingLength)
	if s.Scale.Value == 0 {
		given, name = s.Between, string(FretDistance)
	}
	if err := given.check(name); err != nil {
		return err
	}
	if err := checkU("stretch by fretting", s.Uneven.U); err != nil {
		return err
	}
	heard := 12 * math.Log2(float64(s.AtHigh.Value/s.AtLow.Value))
	if frets := float64(s.High - s.Low); math.Abs(heard-frets) > 12*math.Log2(1+astray) {
		return &InputError{What: "frets", Why: fmt.Sprintf("%d and %d are %g semitones apart, and %.1f were heard", s.Low, s.High, frets, heard),
			Fix: "see that each take is of its fret, all of one string at one tuning"}
	}
	return nil
}

// A Loaded string is one of known unit weight under a known pull: what its pitch
// says of its speaking length.
type Loaded struct {
	UnitWeight Measured[UnitWeight]
	Pull       Measured[Force]
	F0         Measured[Frequency]
	Clock      Relative // of the recorder, F0 being corrected already
}

// Length is √(T/µ)/(2f0): that of a string with pinned ends that sounds the same, so
// that what the ends do is part of it. Terms of the budget: "pull", "unit weight",
// "f0", and "recorder clock" where it matters. The error is an *InputError.
func (s Loaded) Length() (Result[Length], error) {
	if err := s.UnitWeight.check(string(StringWeight)); err != nil {
		return Result[Length]{}, err
	}
	if err := s.Pull.check(string(Pull)); err != nil {
		return Result[Length]{}, err
	}
	if err := s.F0.check("f0"); err != nil {
		return Result[Length]{}, err
	}
	if err := checkU("recorder clock", s.Clock.U); err != nil {
		return Result[Length]{}, err
	}
	l := math.Sqrt(float64(s.Pull.Value)/float64(s.UnitWeight.Value)) / (2 * float64(s.F0.Value))
	terms := []Term{power(string(Pull), s.Pull, l, 0.5), power(string(StringWeight), s.UnitWeight, l, -0.5), power("f0", s.F0, l, -1)}
	if s.Clock.U > 0 {
		terms = append(terms, s.Clock.term(-l))
	}
	found, err := conclude(string(SpeakingLength), Length(l), 0, terms...)
	if err == nil {
		found.Model = Model{
			Inputs: []Input{Pull.input(s.Pull), StringWeight.input(s.UnitWeight), Role[Frequency]("f0").input(s.F0), s.Clock.input()},
			F:      func(x []float64) float64 { return math.Sqrt(x[0]/x[1]) / (2 * x[2] * (1 + x[3])) },
		}
	}
	return found, err
}
