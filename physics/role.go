package physics

import "math"

// A Role is what a quantity is used for. It knows what is plausible there and
// what uncertainty to assume where none is stated. Its text is the name that
// errors and budgets use.
type Role[Q Quantity] string

// The roles of the quantities that a person gives.
const (
	SpeakingLength Role[Length]     = "speaking length"
	FretDistance   Role[Length]     = "fret distance"
	StringWeight   Role[UnitWeight] = "unit weight"
	Pull           Role[Force]      = "pull"
	HungLoad       Role[Force]      = "load"  // one of several on a rig
	Gauge          Role[Length]     = "gauge" // outside diameter
	CutMass        Role[Mass]       = "mass of the cut"
	CutLength      Role[Length]     = "length of the cut"
	CoreSize       Role[Length]     = "core" // diameter, or across the flats

	// What is wound on a core, and what is heard of its stiffness.
	WrapWire            Role[Length]        = "wrap"  // diameter of its wire
	WrapPitch           Role[Length]        = "pitch" // from turn to turn
	StringInharmonicity Role[Inharmonicity] = "inharmonicity"

	LocalGravity  Role[Acceleration] = "gravity"
	ReferenceTone Role[Frequency]    = "reference tone"
	ClipMass      Role[Mass]         = "mass of the clip"
	ClipPlace     Role[Length]       = "place of the clip" // from one end of the speaking length
)

// usage is what is plausible in a role, in SI, the standard uncertainty assumed
// there, and that in reach of whoever takes care: of each the larger of an absolute
// and a relative one.
type usage struct {
	min, max        float64
	assumed         float64
	assumedRelative float64
	even            bool // what is assumed is a limit, anywhere within equally likely
	reach           float64
	reachRelative   float64
	example         string // of what is typed, in the units used most
	// finest is the smallest standard uncertainty that is taken, as a fraction of the
	// value; 0 for that of all that has to do with strings.
	finest float64
}

// least is the smallest standard uncertainty that is taken, as a fraction of the value.
func (u usage) least() float64 {
	if u.finest > 0 {
		return u.finest
	}
	return finest
}

// finest is the smallest standard uncertainty that is taken in a role, as a
// fraction of the value: reference weights are known to some parts in ten
// million, and nothing of a string is known as well.
const finest = 1e-7

// usage tells what is known of the role. Ranges are wide enough for any
// instrument from the smallest to the largest, and narrow enough to catch a
// wrong unit: they are judgement, not measurement. So is what is in reach.
func (r Role[Q]) usage() usage {
	switch string(r) {
	case string(SpeakingLength):
		// A rule with millimetres, read to half of one at both ends.
		// In reach: the same with care, to a fifth of a millimetre.
		return usage{min: 0.04, max: 5, assumed: 0.5e-3, reach: 0.2e-3, example: "863.6mm or 34in"}
	case string(FretDistance):
		// As above.
		return usage{min: 0.01, max: 3, assumed: 0.5e-3, reach: 0.2e-3, example: "431.8mm or 17in"}
	case string(StringWeight):
		// A printed figure, of a string one does not have in hand.
		// In reach: half a metre of it on a balance good to milligrams.
		return usage{min: 1e-5, max: 0.5, assumedRelative: 0.01, reachRelative: 0.001, example: "18.4g/m or 0.00103lb/in"}
	case string(Pull):
		// A spring balance of the household kind. In reach: weights that have been
		// weighed, in known gravity.
		return usage{min: 1, max: 3000, assumedRelative: 0.01, reachRelative: 0.0005, example: "163N, 36.6lbf or 16.6kgf"}
	case string(HungLoad):
		// What hangs, weighed on a household balance. In reach: a better one.
		return usage{min: 0.1, max: 3000, assumedRelative: 0.005, reachRelative: 0.0005, example: "2kg, 20N or 4.5lbf"}
	case string(LocalGravity):
		// What was read off a table, to two places. In reach: that of a latitude.
		return usage{min: 9.76, max: 9.84, assumed: 0.005 / math.Sqrt(3), even: true, reach: 0.002, example: "9.81m/s2"}
	case string(Gauge):
		// A micrometer or a label good to ±0.01 mm, anywhere within equally likely.
		// In reach: a micrometer good to ±0.001 mm.
		return usage{min: 0.05e-3, max: 10e-3, assumed: 0.01e-3 / math.Sqrt(3), even: true,
			reach: 0.001e-3 / math.Sqrt(3), example: "0.3mm or 0.012in"}
	case string(CutMass):
		// A balance good to ±0.01 g, anywhere within equally likely.
		// In reach: one that reads milligrams.
		return usage{min: 0.01e-3, max: 0.5, assumed: 0.01e-3 / math.Sqrt(3), even: true,
			reach: 0.001e-3, example: "9.21g or 0.325oz"}
	case string(CutLength):
		return usage{min: 0.02, max: 10, assumed: 0.5e-3, reach: 0.2e-3, example: "500mm or 20in"}
	case string(CoreSize):
		// A micrometer, as for the gauge.
		return usage{min: 0.05e-3, max: 5e-3, assumed: 0.01e-3 / math.Sqrt(3), even: true,
			reach: 0.001e-3 / math.Sqrt(3), example: "0.4mm or 0.016in"}
	case string(WrapWire):
		return usage{min: 0.02e-3, max: 4e-3, assumed: 0.01e-3 / math.Sqrt(3), even: true,
			reach: 0.001e-3 / math.Sqrt(3), example: "0.5mm or 0.02in"}
	case string(WrapPitch):
		// Some twenty turns counted along a rule. In reach: a hundred.
		return usage{min: 0.02e-3, max: 10e-3, assumedRelative: 0.01, reachRelative: 0.002, example: "0.55mm or 0.022in"}
	case string(StringInharmonicity):
		return usage{min: 1e-9, max: stiffest, assumedRelative: 0.05, example: "6e-5"}
	case string(ClipMass):
		// The same balance. In reach: one that reads milligrams, or many alike at once.
		return usage{min: 1e-6, max: 0.1, assumed: 0.01e-3 / math.Sqrt(3), even: true,
			reach: 0.001e-3, example: "0.5g or 0.02oz"}
	case string(ReferenceTone):
		// Caesium standards are good to some parts in ten trillion (from memory).
		return usage{max: math.Inf(1), finest: 1e-13, example: "440Hz±0.0001Hz"}
	case string(ClipPlace):
		return usage{min: 0.01, max: 5, assumed: 0.5e-3, reach: 0.2e-3, example: "432mm or 17in"}
	}
	return r.usageAsked()
}

// Parse reads a quantity as ParseMeasured does, refuses one that is implausible
// in this role, and supplies the role's default where no tolerance is given. The
// error is an *InputError.
func (r Role[Q]) Parse(s string) (Measured[Q], error) {
	return parseFor[Q](string(r), s, r.usage())
}

// parseFor reads a quantity for the purpose named, as Role.Parse does.
func parseFor[Q Quantity](what, s string, use usage) (Measured[Q], error) {
	p, err := parseMeasured[Q](what, s, use)
	if err != nil {
		return Measured[Q]{}, err
	}
	m := assume(use, p.value).As(p.unit)
	switch {
	case p.stated && float64(p.u) < use.least()*float64(p.value):
		return Measured[Q]{}, &InputError{"tolerance of " + what, s, "is finer than anything is known",
			"give the standard uncertainty, as in " + exact(p.value, p.unit) + "±0.1%"}
	case p.stated:
		m.U, m.Assumed = p.u, false
	case m.Relative() > roughest:
		return Measured[Q]{}, &InputError{what, s, "is too little to assume a tolerance of it",
			"give its standard uncertainty, as in " + exact(p.value, p.unit) + "±1%"}
	}
	return m, nil
}

// Check returns an *InputError for a value that is implausible in this role.
func (r Role[Q]) Check(q Q) error {
	if err := checkPositive(string(r), float64(q)); err != nil {
		return err
	}
	if least, most := r.Range(); least <= q && q <= most {
		return nil
	}
	return &InputError{
		What: string(r),
		Why:  "of " + Format(q, 0, 4) + " is implausible",
		Fix:  expected[Q](r.usage(), 0),
	}
}

// Assume is the value with the standard uncertainty that is assumed in this role
// where none is stated.
func (r Role[Q]) Assume(q Q) Measured[Q] { return assume(r.usage(), q) }

func assume[Q Quantity](u usage, q Q) Measured[Q] {
	return Measured[Q]{Value: q, U: Q(max(u.assumed, u.assumedRelative*float64(q))), Assumed: true}
}

// Range is what is plausible in this role, both ends included.
func (r Role[Q]) Range() (least, most Q) {
	u := r.usage()
	return Q(u.min), Q(u.max)
}

// expected is the hint of what would be plausible, in the unit that was typed if
// that suits.
func expected[Q Quantity](use usage, unit Q) string {
	if use.max < float64(unit) {
		unit = 0
	}
	return "expected between " + Format(Q(use.min), unit, 3) + " and " + Format(Q(use.max), unit, 3) +
		": check the number and the unit"
}
