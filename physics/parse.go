package physics

import (
	"math"
	"strings"
)

// Parse reads a positive quantity: a number and a unit, as in "34in",
// "863.6mm", "1.21g/m" or "35.6lbf". A space between them is accepted. The error
// is an *InputError.
func Parse[Q Quantity](s string) (Q, error) {
	k := kindOf[Q]()
	m, err := parseMeasured[Q](k.name, s, k.anyUsage())
	if err != nil {
		return 0, err
	}
	if m.stated {
		return 0, &InputError{k.name, s, "has a tolerance where none is taken",
			"leave out everything from the ± on"}
	}
	return m.value, nil
}

// ParseMeasured reads a positive quantity as Parse does, followed if wanted by
// its standard uncertainty, above zero: "863.6mm±0.5mm", "863.6mm+-0.5mm" or
// "863.6mm±0.1%". Where no uncertainty follows, it is zero and Assumed is set: the
// caller supplies a default, as Role.Parse does.
func ParseMeasured[Q Quantity](s string) (Measured[Q], error) {
	k := kindOf[Q]()
	m, err := parseMeasured[Q](k.name, s, k.anyUsage())
	if err != nil {
		return Measured[Q]{}, err
	}
	return Measured[Q]{Value: m.value, U: m.u, Assumed: !m.stated, Unit: m.unit}, nil
}

// parsed is a quantity as it was typed.
type parsed[Q Quantity] struct {
	value, u Q
	unit     Q
	stated   bool // a tolerance was typed
}

// typed is a text that is to be a quantity, and what errors and hints need to
// know of it.
type typed struct {
	what  string // what it is for
	text  string // all that was typed
	mark  string // what stands before it: ± before a tolerance
	kind  *kind
	usage usage
}

func (t typed) refuse(why, fix string) error { return &InputError{t.what, t.text, why, fix} }

// noUnit is what is wrong with a bare number.
const noUnit = "has no unit"

// like is the hint that shows how such a quantity is written.
func (t typed) like() string { return "write it like " + t.usage.example }

// parseMeasured reads a quantity and its tolerance for the purpose named.
func parseMeasured[Q Quantity](what, s string, use usage) (parsed[Q], error) {
	head, tail, stated := CutTolerance(strings.TrimSpace(s))
	t := typed{what: what, text: s, kind: kindOf[Q](), usage: use}
	number, symbol, err := t.scan(head)
	if err != nil {
		return parsed[Q]{}, err
	}
	if isZero(number) {
		return parsed[Q]{}, t.refuse("must be more than zero", t.like())
	}
	u, err := t.resolve(number, symbol)
	if err != nil {
		return parsed[Q]{}, err
	}
	value, err := t.scale(number, u.size)
	if err != nil {
		return parsed[Q]{}, err
	}
	if value < use.min || value > use.max {
		return parsed[Q]{}, t.refuse("is implausible", expected(use, Q(u.size)))
	}
	p := parsed[Q]{value: Q(value), unit: Q(u.size), stated: stated}
	if !stated {
		return p, nil
	}
	tolerance, err := t.tolerance(tail, number+u.symbol, value, u)
	if err != nil {
		return parsed[Q]{}, err
	}
	p.u = Q(tolerance)
	return p, nil
}

// CutTolerance splits "863.6mm±0.5mm" at its ±, +- or +/-.
func CutTolerance(s string) (head, tail string, stated bool) {
	for _, mark := range []string{"±", "+-", "+/-"} {
		if head, tail, ok := strings.Cut(s, mark); ok {
			return strings.TrimSpace(head), strings.TrimSpace(tail), true
		}
	}
	return s, "", false
}

// roughest is the largest standard uncertainty that is taken, as a fraction of
// the value: uncertainties are combined to first order, and nobody is served by
// a result that could be anything.
const roughest = 0.25

// tolerance reads what follows the ±, as a standard uncertainty in SI of the
// value, which was typed as head in the unit given.
func (t typed) tolerance(s, head string, value float64, in unit) (float64, error) {
	tail := typed{what: "tolerance of " + t.what, text: t.text, mark: "±", kind: t.kind,
		usage: usage{min: t.usage.least() * value, max: roughest * value, example: head + "±0.1%"}}
	number, symbol, err := tail.scan(s)
	if err != nil {
		return 0, err
	}
	var u float64
	switch {
	case isZero(number):
		return 0, tail.refuse("is zero, and nothing is known exactly",
			"leave it out to have a usual one assumed, or give the standard uncertainty, as in "+tail.usage.example)
	case symbol == "%":
		u, err = tail.scale(number, 0.01)
		u *= value
	case symbol == "" && in.symbol != "":
		fix := tail.like()
		if fit := tail.fitting(number, []unit{in, {"%", 0.01 * value}}); len(fit) > 0 {
			fix = "write " + strings.Join(fit, " or ")
		}
		return 0, tail.refuse(noUnit, fix)
	default:
		var of unit
		if of, err = tail.resolve(number, symbol); err == nil {
			u, err = tail.scale(number, of.size)
		}
	}
	switch {
	case err != nil:
		return 0, err
	case u > roughest*value:
		return 0, tail.refuse("is more than a quarter of the quantity",
			"give the standard uncertainty, about half of what it could be off at most, as in "+tail.usage.example)
	case u == 0:
		return 0, tail.refuse("is too small a number", "check the digits and the unit")
	}
	return u, nil
}

// resolve finds the unit among those of the kind, or says what is wrong with it.
func (t typed) resolve(number, symbol string) (unit, error) {
	k := t.kind
	if u, ok := k.bySymbol(symbol); ok {
		return u, nil
	}
	other := kindOfSymbol(symbol)
	switch {
	case symbol == "":
		return unit{}, t.refuse(noUnit, t.withUnits("write ", number))
	case other == massKind && k == forceKind:
		fix := t.withUnits("write it as a force, like ", number)
		if _, ok := k.bySymbol(symbol + "f"); ok {
			fix = "for the weight of that mass write " + number + symbol + "f"
		}
		return unit{}, t.refuse("is in "+symbol+", a unit of mass, not of force", fix)
	case other != nil:
		return unit{}, t.refuse("is in "+symbol+", a unit of "+other.name+", not of "+k.name,
			t.withUnits("write it with a unit of "+k.name+", like ", number))
	}
	why := "has the unknown unit " + quote(shorten(symbol))
	if near := t.nearUnit(number, symbol); near != "" {
		return unit{}, t.refuse(why, "did you mean "+t.mark+number+near+"?")
	}
	return unit{}, t.refuse(why, t.rewritten(number+symbol, t.like()))
}

// fits tells whether so many units are plausible for what is asked.
func (t typed) fits(number string, u unit) bool {
	v, err := t.scale(number, u.size)
	return err == nil && v > 0 && t.usage.min <= v && v <= t.usage.max
}

// withUnits is the hint, begun by what is given, that puts units after the
// number: those usual ones with which it is plausible, or the SI unit.
func (t typed) withUnits(hint, number string) string {
	fit := t.fitting(number, t.kind.usual())
	if len(fit) == 0 {
		fit = t.fitting(number, t.kind.units[:1])
	}
	if len(fit) == 0 {
		return t.like()
	}
	return hint + strings.Join(fit, " or ")
}

// fitting are the quantities of that number of units that are plausible.
func (t typed) fitting(number string, units []unit) []string {
	var fit []string
	for _, u := range units {
		if t.fits(number, u) {
			fit = append(fit, t.mark+number+u.symbol)
		}
	}
	return fit
}

// nearUnit is the unit spelled most like the symbol, of those with which the
// number is plausible if one of them is near, else of all.
func (t typed) nearUnit(number, symbol string) string {
	if near := t.kind.nearest(symbol, func(u unit) bool { return t.fits(number, u) }); near != "" {
		return near
	}
	return t.kind.nearest(symbol, func(unit) bool { return true })
}

// toSI is n units of the size, in SI. A size that is a decimal of few digits is
// taken as a fraction of whole numbers, so that 863.6mm and 34in are both the
// number nearest to 0.8636.
func toSI(n, size float64) float64 {
	for ten := 1.0; size*ten < 1e15 && ten <= 1e15; ten *= 10 {
		if whole := size * ten; whole == math.Trunc(whole) {
			return n * whole / ten
		}
	}
	return n * size
}
