package view

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// table draws the strings of an instrument, a row each. Where there are more than rows,
// those that are good are left out first, which is said.
func (x Strung) table(wide, high int) []string {
	shown := x.Places
	left := 0
	if len(shown) > high-1 {
		var which []int
		room := max(1, high-2)
		for _, want := range []func(Place) bool{
			func(p Place) bool { return p.Latest },
			func(p Place) bool { return !p.Latest && !p.Good },
			func(p Place) bool { return !p.Latest && p.Good },
		} {
			for i, p := range x.Places {
				if want(p) && len(which) < room {
					which = append(which, i)
				}
			}
		}
		slices.Sort(which)
		shown = nil
		for _, i := range which {
			shown = append(shown, x.Places[i])
		}
		left = len(x.Places) - len(shown)
	}
	name := 0
	for _, p := range shown {
		name = max(name, utf8.RuneCountInString(p.Name))
	}
	var out []string
	for _, p := range shown {
		mark, state := " ", "not heard"
		if p.Latest {
			mark = ">"
		}
		switch {
		case p.Good:
			state = "✓ good"
		case p.Heard:
			state = "again"
		}
		row := fmt.Sprintf("%s %-*s  %-9s  %-13s  %s", mark, name, p.Name, state, p.shrinking(), p.Words)
		out = append(out, whole(strings.TrimRight(row, " "), wide))
	}
	if left > 0 {
		out = append(out, fmt.Sprintf("  and %d more", left))
	}
	return append(out, cut("  "+x.Known, wide))
}

// shrinking is how the uncertainty of a pitch became less from pluck to pluck.
func (p Place) shrinking() string {
	r := p.Reaches
	if len(r) == 0 {
		return ""
	}
	var all []string
	for _, u := range r[max(0, len(r)-2):] {
		all = append(all, fmt.Sprintf("%.2g", u))
	}
	return "± " + strings.Join(all, " > ")
}

// cut shortens a text to a width, between words: a number that is cut would be another.
func cut(s string, wide int) string {
	r := []rune(s)
	if len(r) <= wide {
		return s
	}
	if wide < 2 {
		return strings.Repeat("…", wide)
	}
	short := string(r[:wide-1])
	if i := strings.LastIndex(short, " "); i > 0 && r[wide-1] != ' ' {
		short = short[:i]
	}
	return strings.TrimRight(short, " ") + "…"
}

// whole leaves out parts of a row, which two blanks part, from the end until it fits.
func whole(row string, wide int) string {
	for utf8.RuneCountInString(row) > wide {
		i := strings.LastIndex(strings.TrimRight(row, " "), "  ")
		if i <= 0 {
			return cut(row, wide)
		}
		row = strings.TrimRight(row[:i], " ")
	}
	return row
}
