package view

import (
	"strings"
	"unicode/utf8"
)

// glyphs are drawn on five rows of pixels, # for ink.
var glyphs = map[rune][5]string{
	'0': {"###", "# #", "# #", "# #", "###"},
	'1': {" # ", "## ", " # ", " # ", "###"},
	'2': {"###", "  #", "###", "#  ", "###"},
	'3': {"###", "  #", "###", "  #", "###"},
	'4': {"# #", "# #", "###", "  #", "  #"},
	'5': {"###", "#  ", "###", "  #", "###"},
	'6': {"###", "#  ", "###", "# #", "###"},
	'7': {"###", "  #", "  #", " # ", " # "},
	'8': {"###", "# #", "###", "# #", "###"},
	'9': {"###", "# #", "###", "  #", "###"},
	'A': {"###", "# #", "###", "# #", "# #"},
	'B': {"## ", "# #", "## ", "# #", "## "},
	'C': {"###", "#  ", "#  ", "#  ", "###"},
	'D': {"## ", "# #", "# #", "# #", "## "},
	'E': {"###", "#  ", "## ", "#  ", "###"},
	'F': {"###", "#  ", "## ", "#  ", "#  "},
	'G': {"####", "#   ", "# ##", "#  #", "####"},
	'H': {"# #", "# #", "###", "# #", "# #"},
	'N': {"#  #", "## #", "# ##", "#  #", "#  #"},
	'b': {"#  ", "#  ", "## ", "# #", "## "},
	'c': {"   ", "   ", "###", "#  ", "###"},
	'e': {"   ", "###", "# #", "## ", "###"},
	'f': {" ##", " # ", "###", " # ", " # "},
	'g': {"   ", "###", "# #", "###", " ##"},
	'k': {"#  ", "# #", "## ", "# #", "# #"},
	'l': {"# ", "# ", "# ", "# ", "##"},
	'm': {"     ", "     ", "#####", "# # #", "# # #"},
	'z': {"   ", "   ", "###", " # ", "###"},
	'#': {" # # ", "#####", " # # ", "#####", " # # "},
	'/': {"  #", "  #", " # ", "#  ", "#  "},
	'±': {" # ", "###", " # ", "   ", "###"},
	'+': {"   ", " # ", "###", " # ", "   "},
	'-': {"  ", "  ", "##", "  ", "  "},
	'.': {" ", " ", " ", " ", "#"},
	' ': {" ", " ", " ", " ", " "},
}

// A size is how large digits are drawn: how many columns a pixel takes, and how many rows,
// 0 for half a one.
type size struct{ wide, high int }

var (
	half   = size{1, 0}
	normal = size{2, 1}
)

// rows that digits take.
func (z size) rows() int {
	if z.high == 0 {
		return 3
	}
	return 5 * z.high
}

// drawable tells whether there is a glyph for each rune of a text.
func drawable(s string) bool {
	for _, r := range s {
		if _, ok := glyphs[r]; !ok {
			return false
		}
	}
	return s != ""
}

// width is how many columns a text takes.
func (z size) width(s string) int {
	n := 0
	for _, r := range s {
		n += len(glyphs[r][0])*z.wide + z.gap()
	}
	return max(0, n-z.gap())
}

func (z size) gap() int { return (z.wide + 1) / 2 }

// draw draws a text that is drawable.
func (z size) draw(s string) []string {
	var pixels [6]strings.Builder // the last for half a row
	for i, r := range s {
		if i > 0 {
			for k := range pixels {
				pixels[k].WriteString(strings.Repeat(" ", z.gap()))
			}
		}
		g := glyphs[r]
		for k := range pixels {
			row := strings.Repeat(" ", len(g[0]))
			if k < len(g) {
				row = g[k]
			}
			for _, p := range row {
				pixels[k].WriteString(strings.Repeat(string(p), z.wide))
			}
		}
	}
	var out []string
	if z.high == 0 {
		for k := 0; k < len(pixels); k += 2 {
			out = append(out, halves(pixels[k].String(), pixels[k+1].String()))
		}
		return out
	}
	for k := range 5 {
		for range z.high {
			out = append(out, strings.ReplaceAll(pixels[k].String(), "#", "█"))
		}
	}
	return out
}

// halves puts two rows of pixels into one row of characters.
func halves(up, down string) string {
	out := make([]rune, 0, len(up))
	for i := range len(up) {
		out = append(out, []rune(" ▄▀█")[2*ink(up[i])+ink(down[i])])
	}
	return string(out)
}

func ink(b byte) int {
	if b == '#' {
		return 1
	}
	return 0
}

// large draws the first of some texts that fits in so many columns, as large as it may be
// in so many rows. Where none does, the last is written as it is.
func large(texts []string, wide, high int) []string {
	if len(texts) == 0 {
		return nil
	}
	for scale := min(4, high/5); scale >= 1; scale-- {
		z := size{normal.wide * scale, normal.high * scale}
		for _, s := range texts {
			if drawable(s) && z.width(s) <= wide {
				return z.draw(s)
			}
		}
	}
	if high >= half.rows() {
		for _, s := range texts {
			if drawable(s) && half.width(s) <= wide {
				return half.draw(s)
			}
		}
	}
	last := texts[len(texts)-1]
	if utf8.RuneCountInString(last) > wide {
		return nil // a number that is cut off would be another
	}
	return []string{last}
}
