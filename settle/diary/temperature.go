package diary

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
	"time"

	"pluckweigh/physics"
)

// A Celsius is a temperature in degrees Celsius.
type Celsius float64

// Where strings are played it is neither colder nor warmer: judgement, no source.
const coldest, hottest Celsius = -30, 60

// degrees are the units of temperature by their names.
var degrees = map[string]func(float64) Celsius{
	"°C": func(v float64) Celsius { return Celsius(v) },
	"°F": func(v float64) Celsius { return Celsius((v - 32) / 1.8) },
	"K":  func(v float64) Celsius { return Celsius(v - 273.15) },
}

// ParseTemperature reads a temperature with its unit, like "21.5°C" or "70°F". The error
// is an *physics.InputError.
func ParseTemperature(s string) (Celsius, error) {
	text := strings.TrimSpace(s)
	n := len(text) - len(strings.TrimLeft(text, "+-0123456789."))
	return parseTemperature(s, text[:n], strings.TrimSpace(text[n:]))
}

func parseTemperature(s, number, unit string) (Celsius, error) {
	refuse := func(why, fix string) (Celsius, error) {
		return 0, &physics.InputError{What: "temperature", Text: s, Why: why, Fix: fix}
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return refuse("does not start with a number", "write it like 21.5°C or 70°F")
	}
	of, known := degrees[unit]
	if !known && unit != "K" {
		of, known = degrees["°"+strings.ToUpper(strings.TrimSpace(strings.TrimPrefix(unit, "°")))]
	}
	if !known {
		return refuse("has no unit of temperature", "write it like "+number+"°C or "+number+"°F")
	}
	c := of(v)
	if !(c >= coldest && c <= hottest) {
		return refuse("is implausible where strings are", fmt.Sprintf("expected between %g °C and %g °C: check the number and the unit", float64(coldest), float64(hottest)))
	}
	return c, nil
}

// A Thermometer is what one showed over time, in the order of time.
type Thermometer []Shown

// A Shown is a temperature at a moment.
type Shown struct {
	At time.Time
	Is Celsius
}

// At is the temperature at a moment, on the line between what was shown before and
// after. The error is an *physics.InputError for a moment at which nothing was shown yet
// or any more.
func (t Thermometer) At(at time.Time) (Celsius, error) {
	i := sort.Search(len(t), func(i int) bool { return !t[i].At.Before(at) })
	switch {
	case i < len(t) && t[i].At.Equal(at):
		return t[i].Is, nil
	case i == 0 || i == len(t):
		return 0, &physics.InputError{What: "temperature", Why: "is not known at " + at.Format("2006-01-02 15:04"),
			Fix: "let the list of temperatures begin before the first reading and end after the last"}
	}
	a, b := t[i-1], t[i]
	return a.Is + (b.Is-a.Is)*Celsius(at.Sub(a.At).Seconds()/b.At.Sub(a.At).Seconds()), nil
}

// ParseWarmth reads by how many cents a pitch moves per kelvin, of either sign, and the
// standard uncertainty of that, like "-2.1cents/K±0.3cents/K". The error is an
// *physics.InputError.
func ParseWarmth(s string) (cents, u float64, err error) {
	refuse := func(why string) (float64, float64, error) {
		return 0, 0, &physics.InputError{What: "what warmth does", Text: s, Why: why, Fix: "write it like -2.1cents/K±0.3cents/K, or describe the string"}
	}
	head, tail, stated := physics.CutTolerance(strings.TrimSpace(s))
	if !stated {
		return refuse("has no standard uncertainty")
	}
	perKelvin := func(s string) (float64, bool) {
		number, found := strings.CutSuffix(strings.TrimSpace(s), "/K")
		if !found {
			return 0, false
		}
		number = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(number, "cents"), "cent"))
		v, err := strconv.ParseFloat(strings.ReplaceAll(number, "−", "-"), 64)
		return v, err == nil && v >= -most && v <= most
	}
	var ok, known bool
	cents, ok = perKelvin(head)
	u, known = perKelvin(tail)
	switch {
	case !ok || !known:
		return refuse(fmt.Sprintf("is not so many cents per kelvin, up to %d", most))
	case !(u > 0):
		return refuse("has no standard uncertainty above zero")
	}
	return cents, u, nil
}

// most is more cents per kelvin than any string moves by: judgement, no source.
const most = 100
