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
	head, _, _ := CutTolerance(strings.TrimSpace(s))
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
	if input, ok := err.(*InputError); ok && input.Why == noUnit {
		input.Fix += "; a mass that hangs is written like " + head + "kg"
	}
	return Load{Force: f}, err
}

// ParseRelative reads a relative standard uncertainty, "0.05%" or "±0.05%", of what the
// error, an *InputError, names.
func ParseRelative(what, s string) (Relative, error) {
	refuse := func(why string) (Relative, error) {
		return Relative{}, &InputError{what, s, why, "write it like ±0.1%"}
	}
	_, u, stated := CutTolerance(s)
	if !stated {
		u = strings.TrimSpace(s)
	}
	text, percent := strings.CutSuffix(u, "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	switch {
	case err != nil:
		return refuse("is no number of per cent")
	case !percent:
		return refuse(noUnit)
	case !(v > 0):
		return refuse("must be more than zero")
	case v > 100*roughest:
		return refuse("is more than a quarter")
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

// Under is the pull of the load where gravity is g. That of a mass has the terms "pull"
// and "gravity"; a force is as it was given, without a budget. The error is an
// *InputError.
func (l Load) Under(g Measured[Acceleration]) (Result[Force], error) {
	pull := l.Pull(g.Value)
	if !l.Weighs() {
		return Result[Force]{Measured: pull}, pull.check(string(Pull))
	}
	return Loading{Load: l, Gravity: g}.Pull()
}

// String is the load as it was typed, without its uncertainty: "2kg".
func (l Load) String() string {
	if l.Weighs() {
		return exact(l.Mass.Value, l.Mass.Unit)
	}
	return exact(l.Force.Value, l.Force.Unit)
}

// A Loading is a load on a string, and what is between the two.
type Loading struct {
	Load    Load
	Gravity Measured[Acceleration] // what masses hang by; not used where the load is a force
	// Loss is by how much less the string pulls than the load, as where a pulley rubs; it
	// may be below zero. All zero where nothing takes part of the load.
	Loss  Measured[Force]
	Scale Relative // what the load shares with others, as of one set of weights; zero for nothing
}

// Pull is how hard the string pulls: the load times what it shares with others, less
// what is lost. Terms of the budget: "pull" for the load by itself, "gravity" where it is
// a mass, "weights" for what it shares, and "friction" for what is lost. The error is an
// *InputError.
func (l Loading) Pull() (Result[Force], error) {
	if err := l.check(); err != nil {
		return Result[Force]{}, err
	}
	load := l.Load.Pull(l.Gravity.Value)
	gravity, at := source{value: 1, model: exactly(1)}, 1.0
	if l.Load.Weighs() {
		gravity, at = from(string(LocalGravity), l.Gravity), float64(l.Gravity.Value)
	}
	shared := source{value: 1, model: exactly(1)}
	if l.Scale.U > 0 {
		shared = source{1, []Term{l.Scale.weights(1)}, Input{Name: weights, Mean: 1, U: l.Scale.U}.itself()}
	}
	d := derive(func(x ...float64) float64 { return x[0]*x[1]/at*x[2] - x[3] },
		from(string(Pull), load), gravity, shared, from("friction", l.Loss))
	r, err := concludeDerived(string(Pull), d, load.Unit)
	r.Assumed = load.Assumed
	return r, err
}

// UnitWeightUnder is the unit weight of a string under a load, as UnitWeight has it of
// a pull, by what that rests on.
func (s Stretch) UnitWeightUnder(l Loading) (Result[UnitWeight], error) {
	pull, err := l.Pull()
	if err != nil {
		return Result[UnitWeight]{}, err
	}
	r, err := s.UnitWeight(pull.Measured)
	if err != nil {
		return r, err
	}
	return Traced(r, string(Pull), pull)
}

// weights is the input that stands for what all weights of a set are off by together.
const weights = "weights"

// weights is the term of that.
func (r Relative) weights(sensitivity float64) Term {
	said := relativeSaid(r.U)
	if r.Said != "" {
		said += ", " + r.Said
	}
	t := Term{Input: weights, Said: said, U: r.U, Sensitivity: sensitivity, Assumed: r.Assumed}
	if u := HungLoad.usage().reachRelative; r.U > u {
		t.Reach = Reach{u, "known to " + relativeSaid(u)}
	}
	return t
}

func (l Loading) check() error {
	if l.Load.Weighs() {
		if err := l.Gravity.check(string(LocalGravity)); err != nil {
			return err
		}
	}
	if err := l.Load.Pull(l.Gravity.Value).check(string(Pull)); err != nil {
		return err
	}
	if v := float64(l.Loss.Value); math.IsNaN(v) || math.IsInf(v, 0) {
		return &InputError{What: "friction", Why: "must be finite, not " + number(v)}
	}
	if err := checkU("friction", float64(l.Loss.U)); err != nil {
		return err
	}
	return checkU(weights, l.Scale.U)
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
