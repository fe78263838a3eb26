package physics

import (
	"math"
	"strconv"
	"strings"
)

// A Load is what pulls at a string: a force, or a mass that hangs on it.
type Load struct {
	Force Measured[Force]
	Mass  Measured[Mass] // where it was given as a mass; Force is then not used
}

// ParseLoad reads a load in a role, such as Pull: a force as Role.Parse reads it, or
// the mass that gravity makes such a force of, as in "2kg±0.1%". The error is an
// *InputError.
func ParseLoad(r Role[Force], s string) (Load, error) {
	head, _, _ := cutTolerance(strings.TrimSpace(s))
	t := typed{what: string(r), text: s, kind: massKind, usage: r.usage()}
	if _, symbol, err := t.scan(head); err == nil {
		if _, ok := massKind.bySymbol(symbol); ok {
			use := r.usage()
			use.min, use.max, use.assumed = use.min/StandardGravity, use.max/StandardGravity, use.assumed/StandardGravity
			m, err := parseFor[Mass](string(r), s, use)
			return Load{Mass: m}, err
		}
	}
	f, err := r.Parse(s)
	return Load{Force: f}, err
}

// ParseRelative reads a relative standard uncertainty such as "0.05%", of what the error,
// an *InputError, names.
func ParseRelative(what, s string) (Relative, error) {
	number, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || !percent || !(v > 0 && v <= 100*roughest) {
		return Relative{}, &InputError{what, s, "is not a per cent above zero, or is too many", "write it like 0.05%"}
	}
	return Relative{U: v / 100}, nil
}

// Weighs tells whether the load is a mass, which takes gravity to pull.
func (l Load) Weighs() bool { return l.Mass.Value != 0 }

// Pull is the force of the load where gravity is g. Its uncertainty is the load's
// own; that of gravity, which all masses share, is not in it.
func (l Load) Pull(g Acceleration) Measured[Force] {
	if !l.Weighs() {
		return l.Force
	}
	unit := Newton
	if l.Mass.Unit == Pound || l.Mass.Unit == Ounce {
		unit = PoundForce
	}
	return Measured[Force]{Value: Force(float64(l.Mass.Value) * float64(g)), U: Force(float64(l.Mass.U) * float64(g)),
		Assumed: l.Mass.Assumed, Unit: unit}
}

// String is the load as it was typed, without its uncertainty: "2kg".
func (l Load) String() string {
	if l.Weighs() {
		return exact(l.Mass.Value, l.Mass.Unit)
	}
	return exact(l.Force.Value, l.Force.Unit)
}

// UnitWeightUnder is the unit weight of a string under a load, as UnitWeight has it
// of a pull. Where the load is a mass, the budget has the term "gravity" too.
func (s Stretch) UnitWeightUnder(load Load, g Measured[Acceleration]) (Result[UnitWeight], error) {
	r, err := s.UnitWeight(load.Pull(g.Value))
	if err != nil || !load.Weighs() {
		return r, err
	}
	if err := g.check(string(LocalGravity)); err != nil {
		return Result[UnitWeight]{}, err
	}
	return conclude(string(StringWeight), r.Value, r.Unit,
		append(r.Budget, power(string(LocalGravity), g, float64(r.Value), 1))...)
}

// Different tells whether there are two loads among these that pull differently
// where gravity is g.
func Different(loads []Load, g Acceleration) bool {
	for _, l := range loads {
		if !samePull(l.Pull(g).Value, loads[0].Pull(g).Value) {
			return true
		}
	}
	return false
}

// samePull tells whether two loads are one, given in two units perhaps.
func samePull(a, b Force) bool {
	const same = 1e-9
	return math.Abs(float64(a-b)) <= same*math.Abs(float64(b))
}
