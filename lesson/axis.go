package lesson

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"pluckweigh/physics"
	"pluckweigh/settle/diary"
)

// An Axis is a quantity of a lesson: what is asked, heard or typed.
type Axis struct {
	Name    string `json:"name"`
	Symbol  string `json:"symbol"`
	Unit    string `json:"unit"`    // of values, SI; empty for a bare number
	Example string `json:"example"` // as it is typed
	// Heard tells that the sound says it, and that it is typed only where all numbers are.
	Heard bool `json:"heard"`
	// Optional tells that it may be missing.
	Optional bool   `json:"optional"`
	Says     string `json:"says,omitempty"` // what it is good for, where that is not plain

	parse       func(string) (Value, error)
	say         func(Value, float64) string
	least, most float64 // what is plausible
	written     string  // unit that lists have it in
	size        float64 // of that unit
}

// Parse reads what was typed, with a tolerance if there is one: "650mm±0.5mm". Where there
// is none, the usual one is assumed. The error is an *physics.InputError.
func (a Axis) Parse(s string) (Value, error) {
	v, err := a.parse(strings.TrimSpace(s))
	var input *physics.InputError
	if errors.As(err, &input) {
		named := *input
		named.What = a.Name
		if named.Fix == "" {
			named.Fix = "write it like " + a.Example
		}
		return v, &named
	}
	if err != nil {
		return v, err
	}
	return v, a.check(v)
}

// Say is a value for a person, with k times its standard uncertainty: "650.0 ± 1.0 mm".
func (a Axis) Say(v Value, k float64) string { return a.say(v, k) }

// check refuses a value that cannot be.
func (a Axis) check(v Value) error {
	if finite(v.V) && v.V >= a.least && v.V <= a.most && finite(v.U) && v.U >= 0 {
		return nil
	}
	return &physics.InputError{What: a.Name, Why: fmt.Sprintf("of %g is implausible", v.V),
		Fix: fmt.Sprintf("expected between %s and %s", a.say(Value{V: a.least}, 0), a.say(Value{V: a.most}, 0))}
}

// quantity is an axis of a physical quantity in a role, printed in a unit.
func quantity[Q physics.Quantity](role physics.Role[Q], symbol, si, example string, shown Q) Axis {
	least, most := role.Range()
	_, written, _ := strings.Cut(physics.Format(shown, shown, 1), " ")
	return Axis{Name: string(role), Symbol: symbol, Unit: si, Example: example, least: float64(least), most: float64(most),
		written: written, size: float64(shown),
		parse: func(s string) (Value, error) { m, err := role.Parse(s); return valueOf(m), err },
		say:   func(v Value, k float64) string { return sayQuantity(Q(v.V), Q(v.U), shown, k) },
	}
}

// sayQuantity is a quantity with k times its standard uncertainty, or to a few digits for
// no k.
func sayQuantity[Q physics.Quantity](v, u, unit Q, k float64) string {
	if k == 0 {
		return physics.Format(v, unit, briefDigits)
	}
	return physics.Stated(v, u).As(unit).Expanded(k)
}

// briefDigits is how many a value has where its uncertainty is not beside it.
const briefDigits = 4

func valueOf[Q physics.Quantity](m physics.Measured[Q]) Value {
	return Value{float64(m.Value), float64(m.U), m.Assumed}
}

// hung is an axis of what hangs on a string: a force, or a mass in standard gravity.
func hung() Axis {
	a := quantity(physics.HungLoad, "T", "N", "20N±0.1N or 2kg", physics.Newton)
	a.parse = func(s string) (Value, error) {
		load, err := physics.ParseLoad(physics.HungLoad, s)
		if err != nil {
			return Value{}, err
		}
		return valueOf(load.Pull(physics.StandardGravity)), nil
	}
	return a
}

// typedHertz is the relative standard uncertainty that is assumed of a frequency that
// somebody typed without one: two cents (judgement).
const typedHertz = 0.001155

// pitch is an axis of a frequency that is heard.
func pitch(name, symbol string) Axis {
	return Axis{Name: name, Symbol: symbol, Unit: "Hz", Example: "82.41Hz or 82.41Hz±0.05Hz", Heard: true, least: 5, most: 20000, written: "Hz", size: 1,
		parse: func(s string) (Value, error) {
			m, err := physics.ParseMeasured[physics.Frequency](s)
			v := valueOf(m)
			if v.Assumed {
				v.U = typedHertz * v.V
			}
			return v, err
		},
		say: func(v Value, k float64) string {
			return sayQuantity(physics.Frequency(v.V), physics.Frequency(v.U), physics.Hertz, k)
		},
	}
}

// count is an axis of whole numbers.
func count(name, symbol, example string, least, most int) Axis {
	return Axis{Name: name, Symbol: symbol, Example: example, least: float64(least), most: float64(most), size: 1,
		parse: func(s string) (Value, error) {
			n, err := strconv.Atoi(s)
			if err != nil {
				return Value{}, &physics.InputError{Text: s, Why: "is no whole number", Fix: "write it like " + example}
			}
			return Value{V: float64(n)}, nil
		},
		say: func(v Value, _ float64) string { return strconv.FormatFloat(v.V, 'g', 6, 64) },
	}
}

// number is an axis of numbers with a unit that is written as it is printed; assumed is
// the relative standard uncertainty of one typed without.
func number(name, symbol, unit, example string, least, most, assumed float64) Axis {
	return Axis{Name: name, Symbol: symbol, Unit: unit, Example: example, least: least, most: most, written: unit, size: 1,
		parse: func(s string) (Value, error) {
			head, tail, stated := physics.CutTolerance(s)
			v, err := parseNumber(head, unit, example)
			if err != nil {
				return Value{}, err
			}
			if !stated {
				return Value{V: v, U: assumed * math.Abs(v), Assumed: true}, nil
			}
			if part, percent := strings.CutSuffix(strings.TrimSpace(tail), "%"); percent {
				u, err := parseNumber(part, "", "1%")
				return Value{V: v, U: u / 100 * math.Abs(v)}, err
			}
			u, err := parseNumber(tail, unit, example)
			return Value{V: v, U: u}, err
		},
		say: func(v Value, k float64) string { return withUnit(plain(v.V, v.U, k), unit) },
	}
}

func parseNumber(s, unit, example string) (float64, error) {
	text := strings.TrimSpace(s)
	if unit != "" {
		cut, ok := strings.CutSuffix(text, unit)
		for _, other := range []string{strings.TrimSuffix(unit, "s"), strings.TrimPrefix(unit, "1")} { // 1cent, 1.4/s
			if !ok && other != "" {
				cut, ok = strings.CutSuffix(text, other)
			}
		}
		if !ok {
			return 0, &physics.InputError{Text: s, Why: "is not in " + unit, Fix: "write it like " + example}
		}
		text = strings.TrimSpace(cut)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !finite(v) {
		return 0, &physics.InputError{Text: s, Why: "is no number", Fix: "write it like " + example}
	}
	return v, nil
}

// typedKelvin is the standard uncertainty that is assumed of a temperature: a household
// thermometer, K (judgement).
const typedKelvin = 0.5

// warmth is an axis of temperature.
func warmth(name, symbol string) Axis {
	say := func(v Value, k float64) string { return withUnit(plain(v.V, v.U, k), "°C") }
	return Axis{Name: name, Symbol: symbol, Unit: "°C", Example: "21.5°C", least: -30, most: 60, say: say, written: "°C", size: 1,
		parse: func(s string) (Value, error) {
			head, tail, stated := physics.CutTolerance(s)
			c, err := diary.ParseTemperature(head)
			if err != nil || !stated {
				return Value{float64(c), typedKelvin, true}, err
			}
			text := strings.TrimSpace(tail)
			for _, unit := range []string{"°C", "K", "C"} {
				text = strings.TrimSuffix(text, unit)
			}
			u, err := parseNumber(text, "", "0.2K")
			if err == nil && !(u > 0) {
				err = &physics.InputError{Text: s, Why: "has no tolerance above zero", Fix: "write it like 21.5°C±0.2°C"}
			}
			return Value{V: float64(c), U: u}, err
		},
	}
}

// plain prints a number with k times its standard uncertainty.
func plain(v, u, k float64) string {
	if k*u == 0 {
		return strconv.FormatFloat(v, 'g', briefDigits, 64)
	}
	return physics.Stated(physics.Inharmonicity(v), physics.Inharmonicity(u)).Expanded(k)
}

func withUnit(s, unit string) string {
	if unit == "" {
		return s
	}
	return s + " " + unit
}
