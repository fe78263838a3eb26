package physics

import "math"

// A Role is what a quantity is used for. It knows what is plausible there and
// what uncertainty to assume where none is stated. Its text is the name that
// errors and budgets use.
type Role[Q Quantity] string

// The roles of the quantities that a person gives.
const (
	SpeakingLength Role[Length]     = "speaking length"
	StringWeight   Role[UnitWeight] = "unit weight"
	Pull           Role[Force]      = "pull"
	Gauge          Role[Length]     = "gauge" // outside diameter
	CutMass        Role[Mass]       = "mass of the cut"
	CutLength      Role[Length]     = "length of the cut"
)

// usage is what is plausible in a role, in SI, and the standard uncertainty
// assumed there: the larger of an absolute and a relative one.
type usage struct {
	min, max        float64
	assumed         float64
	assumedRelative float64
}

// usage tells what is known of the role. Ranges are wide enough for any
// instrument from the smallest to the largest, and narrow enough to catch a
// wrong unit: they are judgement, not measurement.
func (r Role[Q]) usage() usage {
	switch string(r) {
	case string(SpeakingLength):
		// A rule with millimetres, read to half of one at both ends.
		return usage{min: 0.04, max: 5, assumed: 0.5e-3}
	case string(StringWeight):
		// A printed figure, of a string one does not have in hand.
		return usage{min: 1e-5, max: 0.5, assumedRelative: 0.01}
	case string(Pull):
		// A spring balance of the household kind.
		return usage{min: 1, max: 3000, assumedRelative: 0.01}
	case string(Gauge):
		// A micrometer or a label good to ±0.01 mm, anywhere within equally likely.
		return usage{min: 0.05e-3, max: 10e-3, assumed: 0.01e-3 / math.Sqrt(3)}
	case string(CutMass):
		// A balance good to ±0.01 g, anywhere within equally likely.
		return usage{min: 0.01e-3, max: 0.5, assumed: 0.01e-3 / math.Sqrt(3)}
	case string(CutLength):
		return usage{min: 0.02, max: 10, assumed: 0.5e-3}
	}
	return usage{max: math.Inf(1)}
}

// Parse reads a quantity as ParseMeasured does, refuses one that is implausible
// in this role, and supplies the role's default where no tolerance is given. The
// error is an *InputError.
func (r Role[Q]) Parse(s string) (Measured[Q], error) {
	p, err := parseMeasured[Q](string(r), s)
	if err != nil {
		return Measured[Q]{}, err
	}
	if err := r.plausible(p.value, p.unit, s); err != nil {
		return Measured[Q]{}, err
	}
	m := r.Assume(p.value).As(p.unit)
	if p.stated {
		m.U, m.Assumed = p.u, false
	}
	return m, nil
}

// Check returns an *InputError for a value that is implausible in this role.
func (r Role[Q]) Check(q Q) error { return r.plausible(q, 0, "") }

// Assume is the value with the standard uncertainty that is assumed in this role
// where none is stated.
func (r Role[Q]) Assume(q Q) Measured[Q] {
	u := r.usage()
	return Measured[Q]{Value: q, U: Q(max(u.assumed, u.assumedRelative*float64(q))), Assumed: true}
}

// Range is what is plausible in this role, both ends included.
func (r Role[Q]) Range() (least, most Q) {
	u := r.usage()
	return Q(u.min), Q(u.max)
}

func (r Role[Q]) plausible(q, unit Q, text string) error {
	if err := checkPositive(string(r), float64(q)); err != nil {
		return err
	}
	least, most := r.Range()
	if least <= q && q <= most {
		return nil
	}
	if text != "" {
		// The text says how much already.
		return &InputError{string(r), text, "is implausible", r.expected(unit)}
	}
	return &InputError{
		What: string(r),
		Why:  "of " + Format(q, unit, 4) + " is implausible",
		Fix:  r.expected(unit),
	}
}

// expected is the hint of what would be plausible.
func (r Role[Q]) expected(unit Q) string {
	least, most := r.Range()
	if most < unit {
		unit = 0 // what was typed does not suit
	}
	return "expected between " + Format(least, unit, 3) + " and " + Format(most, unit, 3) +
		": check the number and the unit"
}
