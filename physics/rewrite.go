package physics

import (
	"regexp"
	"strconv"
	"strings"
)

// rewritten is the hint that says how to write what was typed in another manner,
// such as 1,000mm, 34 1/2in or 5'6". Where no reading of it is plausible, it is
// the hint given.
func (t typed) rewritten(s, otherwise string) string {
	var fit []string
	for _, plain := range readings(s) {
		number, symbol := cutNumber(plain)
		if u, ok := t.kind.bySymbol(symbol); ok && t.fits(number, u) {
			fit = append(fit, t.mark+plain)
		}
	}
	if len(fit) == 0 {
		return otherwise
	}
	return "write " + strings.Join(fit, " or ")
}

// Other manners of writing. A space may be one of the narrow ones of typography.
var (
	groups = regexp.MustCompile(`^([0-9]{1,3}(?:[,'’_\x{20}\x{a0}\x{2009}\x{202f}][0-9]{3})+(?:\.[0-9]+)?)\s*([^0-9].*)?$`)
	comma  = regexp.MustCompile(`^([0-9]*),([0-9]+)\s*([^0-9,].*)?$`)
	// a fraction, and a whole number before it
	fraction = regexp.MustCompile(`^(?:([0-9]+)[ -]\s*)?([0-9]+)\s*/\s*([0-9]+)\s*([^0-9/].*)?$`)
	feet     = regexp.MustCompile(`^([0-9.]+)\s*(?:ft|feet|foot|'|’|′)\s*([0-9.]+)\s*(?:in|inch|inches|"|”|″|'')?$`)
	inches   = regexp.MustCompile(`^([0-9.]+)\s*(?:inch|inches|"|”|″|''|’’)$`)
	onlyFeet = regexp.MustCompile(`^([0-9.]+)\s*(?:foot|feet|'|’|′)$`)
)

// readings are what s can mean, as a plain number with its unit. There are
// several where conventions contradict each other, and units are not checked.
func readings(s string) []string {
	var out []string
	if m := groups.FindStringSubmatch(s); m != nil {
		digits := strings.Map(func(r rune) rune {
			if isDigit(r) || r == '.' {
				return r
			}
			return -1
		}, m[1])
		out = append(out, digits+m[2])
	}
	if m := comma.FindStringSubmatch(s); m != nil {
		out = append(out, "0"[:1-min(1, len(m[1]))]+m[1]+"."+m[2]+m[3])
	}
	if m := fraction.FindStringSubmatch(s); m != nil {
		if of := float(m[3]); of > 0 {
			out = append(out, decimal(float("0"+m[1])+float(m[2])/of)+m[4])
		}
	}
	if m := feet.FindStringSubmatch(s); m != nil {
		out = append(out, decimal(12*float(m[1])+float(m[2]))+"in")
	}
	if m := inches.FindStringSubmatch(s); m != nil {
		out = append(out, m[1]+"in")
	}
	if m := onlyFeet.FindStringSubmatch(s); m != nil {
		out = append(out, m[1]+"ft")
	}
	return out
}

// float is a number of digits and points; one with several points is 0, which
// fits nothing.
func float(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

// decimal prints v for a person to copy, to a millionth part.
func decimal(v float64) string { return significant(v, 7) }
