package physics

import (
	"fmt"
	"math"
)

// TensionOf is the tension of a flexible string between fixed ends,
// T = 4µL²f0² (Mersenne's law). It is plain arithmetic on positive numbers; the
// checked road with uncertainty is Stretch.Tension.
func TensionOf(w UnitWeight, l Length, f0 Frequency) Force {
	v := 2 * float64(l) * float64(f0)
	return Force(float64(w) * v * v)
}

// UnitWeightOf is the inverse of TensionOf: µ = T/(4L²f0²).
func UnitWeightOf(pull Force, l Length, f0 Frequency) UnitWeight {
	v := 2 * float64(l) * float64(f0)
	return UnitWeight(float64(pull) / (v * v))
}

// FrequencyOf is the fundamental that TensionOf is solved for: f0 = √(T/µ)/(2L).
func FrequencyOf(pull Force, w UnitWeight, l Length) Frequency {
	return Frequency(math.Sqrt(float64(pull)/float64(w)) / (2 * float64(l)))
}

// A Stretch is a string as it sounds: what its frequency says of it.
type Stretch struct {
	// Length is the speaking length.
	Length Measured[Length]
	// F0 is the fundamental of the partials f_n = n·F0·√(1+B·n²) at rest, not
	// the first partial as it sounds.
	F0 Measured[Frequency]
	// B is the inharmonicity of these partials. Value 0 and U what is plausible
	// where it could not be heard; all zero for a flexible string.
	B Measured[Inharmonicity]
	// Corr is the correlation coefficient of F0 and B, which come out of one fit;
	// 0 for none. It hardly matters: a B known to 10 % moves the tension by less
	// than a tenth of what the ends do.
	Corr float64
	// Clock is the relative standard uncertainty of F0 from the recorder's
	// clock, F0 being corrected already; zero where no recorder took part.
	Clock Relative
	// Ends says how the string is held.
	Ends Ends
}

// Relative is a standard uncertainty as a fraction of what it belongs to.
type Relative struct {
	U       float64
	Assumed bool   // a default that nobody stated
	Said    string // where it comes from, for a person; may be empty
}

// term is that of a recorder's clock, for a result that changes by so much with the
// relative change of a frequency.
func (r Relative) term(sensitivity float64) Term {
	s := fmt.Sprintf("± %.2g ppm", r.U*1e6)
	if r.Said != "" {
		s += ", " + r.Said
	}
	t := Term{Input: "recorder clock", Said: s, U: r.U, Sensitivity: sensitivity, Assumed: r.Assumed, Even: r.Assumed}
	// In reach: counted over some minutes against a disciplined clock, and a year old.
	const calibrated = 4e-6
	if r.U > calibrated {
		t.Reach = Reach{calibrated, "calibrated to ± 4 ppm"}
	}
	return t
}

// input is that of a recorder's clock.
func (r Relative) input() Input {
	in := Input{Name: "recorder clock", U: r.U}
	if r.Assumed {
		in.Distribution = Rectangular // limits that a clock is taken to keep
	}
	return in
}

// Tension is the pull of a string of unit weight w: T = 4µL²f0² times the end
// factor, with first-order uncertainty. Terms of the budget: "unit weight",
// "speaking length", "f0", and where they matter "recorder clock", "end
// condition", "inharmonicity". The error is an *InputError.
func (s Stretch) Tension(w Measured[UnitWeight]) (Result[Force], error) {
	if err := w.check(string(StringWeight)); err != nil {
		return Result[Force]{}, err
	}
	if err := s.check(); err != nil {
		return Result[Force]{}, err
	}
	ends := s.Ends.factor(s.B)
	t := float64(TensionOf(w.Value, s.Length.Value, s.F0.Value)) * ends.value
	terms := append(s.terms(t, 1, ends), power(string(StringWeight), w, t, 1))
	r, err := conclude("tension", Force(t), forceUnit(w.Unit), terms...)
	if err == nil {
		r.Model = s.model(StringWeight.input(w), 1)
	}
	return r, err
}

// UnitWeight is the unit weight of a string under a known pull:
// µ = T/(4L²f0²), over the end factor, with first-order uncertainty. Terms as in
// Tension, "pull" in place of "unit weight".
func (s Stretch) UnitWeight(pull Measured[Force]) (Result[UnitWeight], error) {
	if err := pull.check(string(Pull)); err != nil {
		return Result[UnitWeight]{}, err
	}
	if err := s.check(); err != nil {
		return Result[UnitWeight]{}, err
	}
	ends := s.Ends.factor(s.B)
	w := float64(UnitWeightOf(pull.Value, s.Length.Value, s.F0.Value)) / ends.value
	terms := append(s.terms(w, -1, ends), power(string(Pull), pull, w, 1))
	r, err := conclude(string(StringWeight), UnitWeight(w), weightUnit(pull.Unit), terms...)
	if err == nil {
		r.Model = s.model(Pull.input(pull), -1)
	}
	return r, err
}

// terms are the budget's terms of all that the sound and the length say, for a
// result that goes with (L·f0)² to the power given.
func (s Stretch) terms(result, exponent float64, ends endFactor) []Term {
	heard := power("f0", s.F0, result, 2*exponent)
	if heard.U > 0 {
		heard.Reach = Reach{heard.U / 2, "from four times as many plucks"}
	}
	terms := []Term{power(string(SpeakingLength), s.Length, result, 2*exponent), heard}
	if s.Clock.U > 0 {
		terms = append(terms, s.Clock.term(2*exponent*result))
	}
	return append(terms, ends.terms(result, exponent, s.B, s.correlations())...)
}

// correlations are those of B.
func (s Stretch) correlations() []Correlation {
	if s.Corr == 0 {
		return nil
	}
	return []Correlation{{"f0", s.Corr}}
}

// model is what is computed of an input that the result is proportional to and of
// what the sound and the length say, for a result that goes with (L·f0)² to the
// power of 1 or -1. An inharmonicity drawn below zero counts as that much above: one
// that could not be heard is half a normal distribution.
func (s Stretch) model(given Input, exponent int) Model {
	heard, stiff := Role[Frequency]("f0").input(s.F0), StringInharmonicity.input(s.B)
	stiff.Correlations = s.correlations()
	held := s.Ends
	where := Input{Name: "end condition", Distribution: Rectangular, Mean: 0.5, U: 0.5 / math.Sqrt(3)}
	return Model{
		Inputs: []Input{given, SpeakingLength.input(s.Length), heard, s.Clock.input(), stiff, where},
		F: func(x []float64) float64 {
			v := 2 * x[1] * x[2] * (1 + x[3])
			perUnit := v * v // the square of the waves' speed, of a flexible string
			if held != EndsPinned {
				c := ClampRaise(Inharmonicity(math.Abs(x[4])))
				clamped := 1 / (c * c)
				if held == EndsUnknown {
					clamped = 1 + x[5]*(clamped-1)
				}
				perUnit *= clamped
			}
			if exponent < 0 {
				return x[0] / perUnit
			}
			return x[0] * perUnit
		},
	}
}

func (s Stretch) check() error {
	if err := s.Length.check(string(SpeakingLength)); err != nil {
		return err
	}
	if err := s.F0.check("f0"); err != nil {
		return err
	}
	if err := checkInharmonicity(s.B); err != nil {
		return err
	}
	if err := s.Ends.check(); err != nil {
		return err
	}
	if !(math.Abs(s.Corr) <= 1) {
		return &InputError{What: "correlation of f0 and inharmonicity", Why: "must lie between -1 and 1, not at " + number(s.Corr)}
	}
	return checkU("recorder clock", s.Clock.U)
}

// stiffest is an inharmonicity beyond that of any string: the shortest of a piano
// reach some 0.03, and the law of clamped ends is an expansion for small B.
const stiffest = 0.1

func checkInharmonicity(b Measured[Inharmonicity]) error {
	if err := checkU("inharmonicity", float64(b.U)); err != nil {
		return err
	}
	if err := checkDoF("inharmonicity", b.DoF); err != nil {
		return err
	}
	if b.Value >= 0 && b.Value+b.U <= stiffest {
		return nil
	}
	return &InputError{What: "inharmonicity",
		Why: "must lie between 0 and " + number(stiffest) + ", not at " + b.String()}
}

// forceUnit is the unit of force that goes with the unit weight's.
func forceUnit(w UnitWeight) Force {
	switch w {
	case PoundPerInch, PoundPerFoot:
		return PoundForce
	}
	return Newton
}

// weightUnit is the unit weight's unit that goes with the force's.
func weightUnit(pull Force) UnitWeight {
	switch pull {
	case PoundForce, OunceForce:
		return PoundPerInch
	}
	return GramPerMetre
}
