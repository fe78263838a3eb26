package physics

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// scan splits "34in" into number and unit and refuses what is no plain positive
// decimal number.
func (t typed) scan(s string) (number, symbol string, err error) {
	if s == "" {
		return "", "", t.refuse("is empty", t.like())
	}
	if !utf8.ValidString(s) {
		return "", "", t.refuse("is not text", t.like())
	}
	s = strings.TrimPrefix(s, "+")
	if r, size := utf8.DecodeRuneInString(s); strings.ContainsRune("-−–—", r) {
		if number, _ := cutNumber(s[size:]); number != "" {
			return "", "", t.refuse("must not be negative", "leave the sign out")
		}
	}
	number, rest := cutNumber(s)
	symbol = strings.TrimLeftFunc(rest, unicode.IsSpace)
	switch first := firstRune(rest); {
	case number == "":
		return "", "", t.refuse("does not start with a number", t.rewritten(s, t.like()))
	case strings.ContainsRune(",_/", first), strings.ContainsRune("'’", first) && isDigit(firstRune(rest[utf8.RuneLen(first):])),
		isHex(number, rest):
		return "", "", t.refuse("is no plain decimal number", t.rewritten(s, t.like()))
	case isDigit(firstRune(symbol)), first == '-' && isDigit(firstRune(rest[1:])):
		return "", "", t.refuse("is more than one number", t.rewritten(s, t.like()))
	}
	return number, symbol, nil
}

// isHex tells whether "0" and "x22in" are a number of base sixteen.
func isHex(number, rest string) bool {
	return number == "0" && len(rest) > 1 && (rest[0] == 'x' || rest[0] == 'X') &&
		strings.ContainsRune("0123456789abcdefABCDEF", rune(rest[1]))
}

func isDigit(r rune) bool { return '0' <= r && r <= '9' }

// firstRune is the first rune of s, or 0 where it is empty.
func firstRune(s string) rune {
	if s == "" {
		return 0
	}
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

// scale turns the digits and the unit's size into SI; it never returns a
// negative number, NaN or infinity without an error.
func (t typed) scale(number string, size float64) (float64, error) {
	n, err := strconv.ParseFloat(number, 64)
	v := toSI(n, size)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, t.refuse("is too large a number", "check the digits and the unit")
	}
	if v == 0 && !isZero(number) {
		return 0, t.refuse("is too small a number", "check the digits and the unit")
	}
	return v, nil
}

// isZero tells whether a number is written as zero; one that is only too small
// for a float64 is not.
func isZero(number string) bool {
	if i := strings.IndexAny(number, "eE"); i >= 0 {
		number = number[:i]
	}
	return strings.Trim(number, "0.") == ""
}
