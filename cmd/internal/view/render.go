package view

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

const (
	leastWide, leastHigh = 40, 12 // below, there is the number and nothing else
	leastStrip           = 6      // rows from which a strip is of use below other things
	sideBySide           = 72     // columns from which strip and ladder stand side by side
)

// Render draws the state on so many columns and rows: as many lines as rows, none wider
// than the columns, without any escape sequence.
func (s *State) Render(wide, high int) string {
	wide, high = max(1, wide), max(1, high)
	small := wide < leastWide || high < leastHigh
	var top []string
	if !small {
		top = append(top, s.head(wide))
		if high >= 22 {
			top = append(top, "")
		}
	}
	top = append(top, s.number(wide, high, small)...)
	foot := s.foot(wide, small)
	middle := high - len(top) - len(foot)
	if !small && middle > 4 {
		top = append(top, "")
		top = append(top, s.middle(wide, middle-1)...)
	}
	return fit(top, foot, wide, high)
}

// fit puts lines on a screen, of which the foot is at the bottom. Where there is no room
// for all, the foot gives way from its end.
func fit(top, foot []string, wide, high int) string {
	if len(top) > high {
		top = top[:high]
	}
	foot = foot[:min(len(foot), high-len(top))]
	for len(top)+len(foot) < high {
		top = append(top, "")
	}
	lines := append(top, foot...)
	for i, l := range lines {
		lines[i] = strings.TrimRight(cut(l, wide), " ")
	}
	return strings.Join(lines, "\n")
}

// head is the title, and how loud it is.
func (s *State) head(wide int) string {
	now := s.now()
	level := "waiting for sound"
	if len(s.signs) > 0 {
		level = fmt.Sprintf("%.0f s  level %.0f dB", now.Seconds, now.LevelDB)
		if now.LevelDB <= -120 {
			level = fmt.Sprintf("%.0f s  no sound", now.Seconds)
		}
	}
	return apart(s.Title, level, wide)
}

// apart puts one text to the left and one to the right, which gives way.
func apart(left, right string, wide int) string {
	room := wide - utf8.RuneCountInString(left) - utf8.RuneCountInString(right)
	if room < 2 {
		return left
	}
	return left + strings.Repeat(" ", room) + right
}

// number is what is to be read from afar, and what belongs to it.
func (s *State) number(wide, high int, small bool) []string {
	rows := 1
	switch {
	case high >= 20:
		rows = max(5, high/5)
	case !small:
		rows = half.rows()
	}
	big, beside, facts := s.above()
	if high < 18 {
		facts = facts[:min(1, len(facts))]
	}
	out := large(big, wide-2, rows)
	for i, l := range out {
		out[i] = " " + l
	}
	for len(out) < rows && len(out) != 1 {
		out = append(out, "")
	}
	for _, f := range append([]string{beside}, facts...) {
		if f != "" && (!small || len(out) < 3) {
			out = append(out, wrap(" "+f, wide, 2)...)
		}
	}
	return out
}

// above is what stands above the drawing: what is large, what belongs to it, and more.
func (s *State) above() (big []string, beside string, facts []string) {
	p, now := s.last(), s.now()
	waits := p == nil && s.strung == nil || s.course != nil && len(s.course.Big) == 0
	switch {
	case waits && p != nil && p.Trusted:
		return p.Big, p.Beside, []string{s.course.Waiting}
	case waits && p == nil && now.Ringing && now.Note != "":
		return []string{now.Note}, "it rings: let it ring until the number comes", nil
	case s.course != nil:
		return s.course.Big, s.course.Beside, append([]string{s.course.Verdict}, s.course.Facts...)
	case p == nil && s.strung != nil:
		return nil, s.strung.Done, []string{s.strung.Wanted}
	case p == nil:
		return nil, "pluck the string once and let it ring", nil
	case !p.Trusted:
		// A number from before would look like one of now.
		facts := []string{"not trusted: " + strings.Join(p.Doubts, "; ")}
		if s.strung != nil {
			facts = append(facts, s.strung.Done)
		}
		return []string{"-"}, fmt.Sprintf("pluck %d gives no number", p.Number), facts
	}
	facts = p.Facts
	if s.strung != nil {
		facts = append([]string{s.strung.Done}, facts...)
	}
	return p.Big, p.Beside, facts
}

// middle is what is drawn.
func (s *State) middle(wide, high int) []string {
	switch {
	case s.course != nil && len(s.course.Law) > 0:
		return s.course.draw(wide, high, s.Coarse)
	case s.strung != nil:
		out := s.strung.table(wide, high)
		if room := high - len(out) - 1; room >= leastStrip {
			out = append(append(out, ""), s.strip(wide, room)...)
		}
		return out
	case wide < sideBySide:
		return s.strip(wide, high)
	}
	const between = 3
	right := (wide - between) * 2 / 5
	return abreast(s.strip(wide-between-right, high), ladder(s.last(), right, high), wide-between-right, between)
}

// abreast puts two blocks of lines side by side.
func abreast(a, b []string, wide, between int) []string {
	var out []string
	for i := range max(len(a), len(b)) {
		l, r := "", ""
		if i < len(a) {
			l = cut(a[i], wide)
		}
		if i < len(b) {
			r = b[i]
		}
		out = append(out, l+strings.Repeat(" ", wide+between-utf8.RuneCountInString(l))+r)
	}
	return out
}

// foot is what goes on at the moment, doubts, and how to end it.
func (s *State) foot(wide int, small bool) []string {
	now := s.now()
	doing := "listening"
	switch {
	case now.LevelDB > -1:
		doing = "TOO LOUD: lower the input level, or pluck more softly"
	case now.Ringing && now.Note != "":
		doing = fmt.Sprintf("it rings, near %s %+.0f cents (a first pitch, good to some cents): let it ring", now.Note, now.Cents)
	case now.Ringing:
		doing = "it rings: let it ring"
	case s.strung != nil:
		doing = s.strung.Wanted
	case s.course != nil:
		doing = "pluck it now and then: each pluck is kept"
	case s.last() != nil:
		doing = "pluck it again, or end it for the whole answer"
	}
	if small {
		return []string{cut(doing, wide), cut(s.Ends, wide)}
	}
	var out []string
	if s.Caution != "" {
		out = append(out, wrap(s.Caution, wide, 3)...)
	}
	if p := s.last(); p != nil && p.Trusted && len(p.Doubts) > 0 {
		out = append(out, wrap("doubt: "+strings.Join(p.Doubts, "; "), wide, 2)...)
	}
	if p := s.last(); p != nil && !p.Trusted && s.course != nil {
		out = append(out, wrap("the last pluck is not trusted: "+strings.Join(p.Doubts, "; "), wide, 2)...)
	}
	if s.said != "" {
		out = append(out, wrap("said: "+s.said, wide, 2)...)
	}
	return append(out, doing, s.Ends)
}

// wrap breaks a text into lines, so many at the most.
func wrap(s string, wide, most int) []string {
	var out []string
	indent := s[:len(s)-len(strings.TrimLeft(s, " "))]
	line := ""
	for _, w := range strings.Fields(s) {
		switch {
		case line == "":
			line = indent + w
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) <= wide:
			line += " " + w
		case len(out) == most-1:
			return append(out, cut(line+" "+w, wide))
		default:
			out = append(out, line)
			line = indent + w
		}
	}
	return append(out, line)
}
