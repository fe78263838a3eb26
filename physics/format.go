package physics

import (
	"math"
	"strconv"
	"strings"
)

// Format prints a quantity in a unit to so many significant digits: "34 in". A
// unit of zero is the usual one for the quantity.
func Format[Q Quantity](q, unit Q, digits int) string {
	u := shownUnit(unit)
	return withUnit(significant(float64(q)/u.size, digits), u)
}

// String prints value and standard uncertainty with all their digits, in the
// unit they were typed in, as ParseMeasured reads them: "863.6mm±0.5mm". An
// uncertainty that is assumed or zero is left out.
func (m Measured[Q]) String() string {
	if m.Assumed || m.U == 0 {
		return exact(m.Value, m.Unit)
	}
	return exact(m.Value, m.Unit) + "±" + exact(m.U, m.Unit)
}

// Expanded prints the value and k times its standard uncertainty: "158.3 ± 1.2 N".
// The uncertainty has two significant digits and the value ends at the same
// place (JCGM 100:2008, 7.2.6).
func (m Measured[Q]) Expanded(k float64) string {
	u := shownUnit(m.Unit)
	value, expanded := float64(m.Value)/u.size, k*float64(m.U)/u.size
	if !(expanded > math.Abs(value)*1e-15) || math.IsInf(expanded, 0) {
		return withUnit(significant(value, 6), u) // exact, as far as can be printed
	}
	return withUnit(plusMinus(value, expanded), u)
}

// FormatInterval prints an interval of a quantity, "161.3 to 163.5 N", to the place
// of the second digit of a standard uncertainty u. A unit of zero is the usual one.
func FormatInterval[Q Quantity](i Interval, unit, u Q) string {
	s := shownUnit(unit)
	low, high, place := i.Low/s.size, i.High/s.size, float64(u)/s.size
	if !(place > math.Abs(low)*1e-15) || math.IsInf(place, 0) {
		return withUnit(significant(low, 6)+" to "+significant(high, 6), s) // exact, as far as can be printed
	}
	return withUnit(toPlace(low, " to ", high, place), s)
}

// plusMinus prints both numbers to the place of the second digit of u.
func plusMinus(value, u float64) string { return toPlace(value, " ± ", u, u) }

// toPlace prints two numbers to the place of the second digit of u.
func toPlace(a float64, join string, b, u float64) string {
	top := exponent(u)
	last := top - 1 // the power of ten of the last digit
	for _, v := range []float64{a, b} {
		if v != 0 {
			top = max(top, exponent(v))
		}
	}
	if top > 6 || top < -3 {
		// Beyond what is readable with zeros: both over one power of ten.
		return "(" + atPlace(shift(a, top), last-top) + join + atPlace(shift(b, top), last-top) +
			")e" + strconv.Itoa(top)
	}
	return atPlace(a, last) + join + atPlace(b, last)
}

// shift is v/10^places, also where the power alone is out of range.
func shift(v float64, places int) float64 {
	mantissa, e, _ := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	m, _ := strconv.ParseFloat(mantissa, 64)
	n, _ := strconv.Atoi(e)
	return m * math.Pow10(n-places)
}

// exponent is the power of ten of the first of two significant digits of v,
// after rounding to them: 0.0997 is 0.10, so −1.
func exponent(v float64) int { return leading(v, 2) }

// leading is the power of ten of the first of so many significant digits of v,
// after rounding to them; 0 of 0.
func leading(v float64, digits int) int {
	if v == 0 {
		return 0
	}
	_, e, _ := strings.Cut(strconv.FormatFloat(math.Abs(v), 'e', digits-1, 64), "e")
	n, _ := strconv.Atoi(e)
	return n
}

// atPlace prints v rounded to a power of ten.
func atPlace(v float64, place int) string {
	if place <= 0 {
		return strconv.FormatFloat(v, 'f', -place, 64)
	}
	unit := math.Pow(10, float64(place))
	return strconv.FormatFloat(math.Round(v/unit)*unit, 'f', 0, 64)
}

// significant prints v to at most so many digits, without trailing zeros.
func significant(v float64, digits int) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'e', max(digits-1, 0), 64), 64)
	if e := exponent(v); e < -7 || e > 9 {
		return strconv.FormatFloat(rounded, 'e', -1, 64)
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// exact prints q in the unit, in the fewest digits that are read back to the
// same value; in the SI unit where the unit's own rounding allows none.
func exact[Q Quantity](q, unit Q) string {
	k := kindOf[Q]()
	si := k.units[0]
	if u := k.bySize(float64(unit)); u != si {
		near := float64(q) / u.size
		for digits := 1; digits <= 17; digits++ {
			s := strconv.FormatFloat(near, 'g', digits, 64)
			if n, err := strconv.ParseFloat(s, 64); err == nil && toSI(n, u.size) == float64(q) {
				return plain(n) + u.symbol
			}
		}
	}
	return plain(float64(q)) + si.symbol
}

// plain prints all digits of v, without an exponent where that is readable.
func plain(v float64) string {
	if e := exponent(v); e < -7 || e > 15 {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// shownUnit is the unit to print in: that asked for, or the usual one.
func shownUnit[Q Quantity](size Q) unit {
	k := kindOf[Q]()
	if size > 0 {
		return k.bySize(float64(size))
	}
	u, _ := k.bySymbol(k.shown)
	return u
}

func withUnit(number string, u unit) string {
	if u.symbol == "" {
		return number
	}
	return number + " " + u.symbol
}
