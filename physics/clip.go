package physics

import (
	"fmt"
	"math"
)

// A Clip is what was heard of a string with a small known mass clipped on near its
// middle, its tension unknown. The mass lowers the partials that move where it sits;
// by how much says what share it is of the string's own mass, and the partials
// together what the bare string's f0 is.
//
// The clip is taken for rigid and fixed: the stretch of string that it holds straight and
// how it rocks are told from the partials with the rest.
type Clip struct {
	Mass Measured[Mass]
	// Length is the speaking length.
	Length Measured[Length]
	// Ratio is the clip's mass over the string's, of pinned ends, as heard, and
	// RatioU its standard uncertainty.
	Ratio, RatioU float64
	// F0 is that of the bare string at rest, as in Stretch.
	F0 Measured[Frequency]
	// Correlation is the correlation of Ratio and F0, which come out of one fit.
	Correlation float64
	// B, Clock and Ends are as in Stretch.
	B     Measured[Inharmonicity]
	Clock Relative
	Ends  Ends
}

// HeaviestClip is the ratio of a clip's mass to the string's above which it is no
// small one.
const HeaviestClip = 1. / 3

// Shift of the first partial within which a clip suits, cents: less is hard to tell
// well, and more makes the string another one.
const (
	LeastClipShift = 30.
	MostClipShift  = 150.
)

// ClipRatio is the ratio of a mass to the string's at whose middle it lowers the first
// partial by so many cents: tan(πx/2) = 2/(π·ratio·x), x the frequency over the bare
// string's (flexible string; any acoustics text).
func ClipRatio(cents float64) float64 {
	x := math.Exp2(-cents / 1200)
	return 2 / (math.Pi * x * math.Tan(math.Pi*x/2))
}

// ClipsFor is the range of masses that suit a string of about this unit weight and
// speaking length.
func ClipsFor(w UnitWeight, l Length) (least, most Mass) {
	m := float64(w) * float64(l)
	return Mass(m * ClipRatio(LeastClipShift)), Mass(m * ClipRatio(MostClipShift))
}

// UnitWeight is µ = m/(ratio·L), over what clamped ends take of the length (see raise),
// with first-order uncertainty. Terms of the budget: "mass of the clip", "speaking
// length", "shift heard", and where they matter "end condition" and "inharmonicity".
// The error is an *InputError.
func (c Clip) UnitWeight() (Result[UnitWeight], error) {
	if err := c.check(); err != nil {
		return Result[UnitWeight]{}, err
	}
	ends := c.Ends.raise(c.B)
	w := float64(c.Mass.Value) / (c.Ratio * float64(c.Length.Value)) * ends.value
	terms := append(c.terms(w, -1, 1, ends), power(string(SpeakingLength), c.Length, w, -1))
	r, err := conclude(string(StringWeight), UnitWeight(w), massUnit(c.Mass.Unit), terms...)
	if err == nil {
		r.Model = c.model(func(mass, length, ratio, _, raise float64) float64 { return mass / (ratio * length) * raise })
	}
	return r, err
}

// Tension is T = 4µL²f0² of that unit weight, with what the ends take of the length:
// 4mLf0²/ratio. Terms as those of UnitWeight, and "f0" and "recorder clock". The error
// is an *InputError.
func (c Clip) Tension() (Result[Force], error) {
	if err := c.check(); err != nil {
		return Result[Force]{}, err
	}
	ends := c.Ends.raise(c.B)
	f := float64(c.F0.Value)
	t := 4 * float64(c.Mass.Value) * float64(c.Length.Value) * f * f / c.Ratio / ends.value
	terms := append(c.terms(t, -1, -1, ends),
		power(string(SpeakingLength), c.Length, t, 1),
		power("f0", c.F0, t, 2))
	if c.Clock.U > 0 {
		terms = append(terms, c.Clock.term(2*t))
	}
	for i := range terms {
		if terms[i].Input == shiftHeard && c.Correlation != 0 {
			terms[i].Correlations = []Correlation{{"f0", c.Correlation}}
		}
	}
	unit := Newton
	if massUnit(c.Mass.Unit) == PoundPerInch {
		unit = PoundForce
	}
	r, err := conclude("tension", Force(t), unit, terms...)
	if err == nil {
		r.Model = c.model(func(mass, length, ratio, f0, raise float64) float64 {
			return 4 * mass * length * f0 * f0 / ratio / raise
		})
	}
	return r, err
}

const shiftHeard = "shift heard"

// terms are those of a result that goes with the mass, and with powers of the ratio and
// of what the ends raise.
func (c Clip) terms(result, ratio, raise float64, ends endFactor) []Term {
	heard := Term{Input: shiftHeard, Said: c.said(), U: c.RatioU, Sensitivity: ratio * result / c.Ratio,
		Reach: Reach{c.RatioU / 2, "from four times as many plucks"}}
	return append(ends.terms(result, raise, c.B, nil), power(string(ClipMass), c.Mass, result, 1), heard)
}

// model is what is computed of the mass, the length, the ratio, f0 and by how much the
// ends raise it.
func (c Clip) model(of func(mass, length, ratio, f0, raise float64) float64) Model {
	ratio := Input{Name: shiftHeard, Mean: c.Ratio, U: c.RatioU}
	heard, stiff := Role[Frequency]("f0").input(c.F0), StringInharmonicity.input(c.B)
	if c.Correlation != 0 && heard.Distribution == Normal {
		ratio.Correlations = []Correlation{{"f0", c.Correlation}}
	}
	where := Input{Name: "end condition", Distribution: Rectangular, Mean: 0.5, U: 0.5 / math.Sqrt(3)}
	held := c.Ends
	return Model{
		Inputs: []Input{ClipMass.input(c.Mass), SpeakingLength.input(c.Length), ratio, heard, c.Clock.input(), stiff, where},
		F: func(x []float64) float64 {
			raise := 1.0
			if held != EndsPinned {
				raise = ClampRaise(Inharmonicity(math.Abs(x[5])))
				if held == EndsUnknown {
					raise = 1 + x[6]*(raise-1)
				}
			}
			return of(x[0], x[1], x[2], x[3]*(1+x[4]), raise)
		},
	}
}

// said is the ratio for a person.
func (c Clip) said() string {
	return fmt.Sprintf("the clip is %s of the string's mass", Stated(Fraction(c.Ratio), Fraction(c.RatioU)).As(Percent).Expanded(1))
}

func (c Clip) check() error {
	if err := c.Mass.check(string(ClipMass)); err != nil {
		return err
	}
	if err := c.Length.check(string(SpeakingLength)); err != nil {
		return err
	}
	if err := c.F0.check("f0"); err != nil {
		return err
	}
	if err := checkInharmonicity(c.B); err != nil {
		return err
	}
	if err := checkPositive("clip's share of the mass", c.Ratio); err != nil {
		return err
	}
	if err := checkU("clip's share of the mass", c.RatioU); err != nil {
		return err
	}
	if !(math.Abs(c.Correlation) <= 1) {
		return &InputError{What: "correlation", Why: "must lie between -1 and 1, not at " + number(c.Correlation)}
	}
	if err := c.TooHeavy(); err != nil {
		return err
	}
	if err := c.Ends.check(); err != nil {
		return err
	}
	return checkU("recorder clock", c.Clock.U)
}

// TooHeavy is the *InputError of a clip that is no small mass on this string, nil for
// one that is.
func (c Clip) TooHeavy() error {
	if c.Ratio <= HeaviestClip {
		return nil
	}
	w := float64(c.Mass.Value) / (c.Ratio * float64(c.Length.Value))
	least, most := ClipsFor(UnitWeight(w), c.Length.Value)
	return &InputError{What: "clip", Why: fmt.Sprintf("is %.0f %% of the string's mass, more than a third, too heavy to be a small one", 100*c.Ratio),
		Fix: "take one between " + Format(least, c.Mass.Unit, 2) + " and " + Format(most, c.Mass.Unit, 2)}
}

// massUnit is the unit weight's unit that goes with the mass's.
func massUnit(m Mass) UnitWeight {
	if m == Pound || m == Ounce {
		return PoundPerInch
	}
	return GramPerMetre
}

// OffMiddle is how far from the middle of the speaking length something at a distance
// from one end sits, as a fraction of the length. The error is an *InputError.
func OffMiddle(at, length Measured[Length]) (Measured[Fraction], error) {
	if err := at.check(string(ClipPlace)); err != nil {
		return Measured[Fraction]{}, err
	}
	if err := length.check(string(SpeakingLength)); err != nil {
		return Measured[Fraction]{}, err
	}
	x := float64(at.Value / length.Value)
	if x >= 1 {
		return Measured[Fraction]{}, &InputError{What: string(ClipPlace), Why: "of " + at.Expanded(1) + " lies beyond the speaking length",
			Fix: "measure it from one end of the speaking length, as in " + Format(length.Value/2, length.Unit, 4)}
	}
	u := math.Hypot(float64(at.U), x*float64(length.U)) / float64(length.Value)
	return Stated(Fraction(math.Abs(x-0.5)), Fraction(u)), nil
}
