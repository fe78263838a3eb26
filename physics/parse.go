package physics

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Parse reads a positive quantity: a number and a unit, as in "34in",
// "863.6mm", "1.21g/m" or "35.6lbf". A space between them is accepted. The error
// is an *InputError.
func Parse[Q Quantity](s string) (Q, error) {
	m, err := parseMeasured[Q](kindOf[Q]().name, s)
	if err != nil {
		return 0, err
	}
	if m.stated {
		return 0, &InputError{kindOf[Q]().name, s, "has a tolerance where none is taken",
			"leave out everything from the ± on"}
	}
	return m.value, nil
}

// ParseMeasured reads a positive quantity as Parse does, followed if wanted by
// its standard uncertainty: "863.6mm±0.5mm", "863.6mm+-0.5mm" or "863.6mm±0.1%".
// Where no uncertainty follows, it is zero and Assumed is set: the caller
// supplies a default, as Role.Parse does.
func ParseMeasured[Q Quantity](s string) (Measured[Q], error) {
	m, err := parseMeasured[Q](kindOf[Q]().name, s)
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

// parseMeasured reads a quantity and its tolerance for the purpose named.
func parseMeasured[Q Quantity](what, s string) (parsed[Q], error) {
	k := kindOf[Q]()
	head, tail, stated := cutTolerance(strings.TrimSpace(s))
	var p parsed[Q]
	number, symbol, err := scan(what, s, head, k)
	if err != nil {
		return p, err
	}
	u, err := resolve(what, s, number, symbol, k)
	if err != nil {
		return p, err
	}
	value, err := scale(what, s, number, u.size)
	if err != nil {
		return p, err
	}
	if value == 0 {
		return p, &InputError{what, s, "must be more than zero", ""}
	}
	p.value, p.unit, p.stated = Q(value), Q(u.size), stated
	if !stated {
		return p, nil
	}
	tolerance, err := parseTolerance(what, s, tail, value, u.symbol, k)
	p.u = Q(tolerance)
	return p, err
}

// cutTolerance splits "863.6mm±0.5mm" at its ±, +- or +/-.
func cutTolerance(s string) (head, tail string, stated bool) {
	for _, mark := range []string{"±", "+-", "+/-"} {
		if head, tail, ok := strings.Cut(s, mark); ok {
			return strings.TrimSpace(head), strings.TrimSpace(tail), true
		}
	}
	return s, "", false
}

// parseTolerance reads what follows the ±, as a standard uncertainty in SI.
func parseTolerance(what, s, tail string, value float64, symbol string, k *kind) (float64, error) {
	what = "tolerance of " + what
	number, unitText, err := scan(what, s, tail, k)
	if err != nil {
		return 0, err
	}
	var u float64
	if unitText == "%" {
		u, err = scale(what, s, number, 0.01)
		u *= value
	} else {
		var in unit
		if unitText == "" && symbol != "" {
			return 0, &InputError{what, s, "has no unit",
				"write ±" + number + symbol + " or ±" + number + "%"}
		}
		if in, err = resolve(what, s, number, unitText, k); err != nil {
			return 0, err
		}
		u, err = scale(what, s, number, in.size)
	}
	if err != nil {
		return 0, err
	}
	if u >= value/2 {
		return 0, &InputError{what, s, "is as large as the quantity itself, or nearly",
			"give the standard uncertainty, which is about half of what it could be off at most"}
	}
	return u, nil
}

// scan splits "34in" into number and unit and refuses what is no plain positive
// decimal number. s is the whole input, for the error.
func scan(what, s, text string, k *kind) (number, symbol string, err error) {
	refuse := func(why, fix string) (string, string, error) {
		return "", "", &InputError{what, s, why, fix}
	}
	example := "write it like " + k.list("34")
	if text == "" {
		return refuse("is empty", example)
	}
	if !utf8.ValidString(text) {
		return refuse("is not text", example)
	}
	text = strings.TrimPrefix(text, "+")
	if r, size := utf8.DecodeRuneInString(text); strings.ContainsRune("-−–—", r) {
		if number, _ := cutNumber(text[size:]); number != "" {
			return refuse("must not be negative", "leave the sign out")
		}
	}
	number, rest := cutNumber(text)
	if number == "" {
		return refuse("does not start with a number", example)
	}
	if rest != "" && strings.ContainsRune(",'’_/", firstRune(rest)) {
		return refuse("is no plain decimal number", decimalHint(number, rest, k))
	}
	symbol = strings.TrimLeftFunc(rest, unicode.IsSpace)
	if first := firstRune(symbol); '0' <= first && first <= '9' {
		return refuse("is more than one number", example)
	}
	return number, symbol, nil
}

// decimalHint says how to write "34,5in", "1/2in" or "1'000mm".
func decimalHint(number, rest string, k *kind) string {
	mark := firstRune(rest)
	digits, after := cutNumber(rest[utf8.RuneLen(mark):])
	if mark == ',' && digits != "" && !strings.Contains(number, ".") &&
		!strings.ContainsAny(digits, ".eE") && !strings.HasPrefix(after, ",") {
		return "use a point: " + number + "." + digits + strings.TrimSpace(after)
	}
	if mark == '/' {
		return "write the fraction as a decimal, like " + k.list("0.5")
	}
	return "write the digits without marks between them, like " + k.list("1000")
}

func firstRune(s string) rune {
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

// cutNumber cuts the decimal number off the front of s; it is empty if s does
// not start with one.
func cutNumber(s string) (number, rest string) {
	digits := func(i int) int {
		for i < len(s) && '0' <= s[i] && s[i] <= '9' {
			i++
		}
		return i
	}
	whole := digits(0)
	end, any := whole, whole > 0
	if end < len(s) && s[end] == '.' {
		point := digits(end + 1)
		any = any || point > end+1
		end = point
	}
	if !any {
		return "", s
	}
	if end < len(s) && (s[end] == 'e' || s[end] == 'E') {
		from := end + 1
		if from < len(s) && (s[from] == '+' || s[from] == '-') {
			from++
		}
		if to := digits(from); to > from {
			end = to
		}
	}
	return s[:end], s[end:]
}

// resolve finds the unit among those of the kind, or says what is wrong with it.
func resolve(what, s, number, symbol string, k *kind) (unit, error) {
	if u, ok := k.bySymbol(symbol); ok {
		return u, nil
	}
	e := &InputError{What: what, Text: s}
	other := kindOfSymbol(symbol)
	switch {
	case symbol == "":
		e.Why = "has no unit"
		e.Fix = "write " + k.list(number)
	case other == massKind && k == forceKind:
		e.Why = "is in " + symbol + ", a unit of mass, not of force"
		e.Fix = "for the weight of that mass write " + number + symbol + "f"
		if _, ok := k.bySymbol(symbol + "f"); !ok {
			e.Fix = "write " + k.list(number)
		}
	case other != nil:
		e.Why = "is in " + symbol + ", a unit of " + other.name + ", not of " + k.name
		e.Fix = "write it with another unit, like " + k.list(number)
	default:
		e.Why = "has the unknown unit " + strconv.Quote(shorten(symbol))
		if near := k.nearest(symbol); near != "" {
			e.Fix = "did you mean " + number + near + "?"
		} else {
			e.Fix = "write it like " + k.list(number)
		}
	}
	return unit{}, e
}

// scale turns the digits and the unit's size into SI; it never returns a
// negative number, NaN or infinity without an error.
func scale(what, s, number string, size float64) (float64, error) {
	n, err := strconv.ParseFloat(number, 64)
	v := toSI(n, size)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, &InputError{what, s, "is too large a number", "check the digits and the unit"}
	}
	if v == 0 && strings.ContainsAny(mantissa(number), "123456789") {
		return 0, &InputError{what, s, "is too small a number", "check the digits and the unit"}
	}
	return v, nil
}

func mantissa(number string) string {
	if i := strings.IndexAny(number, "eE"); i >= 0 {
		return number[:i]
	}
	return number
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
