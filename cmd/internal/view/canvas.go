package view

import "strings"

// A canvas is a piece of the screen, of cells. On it lie shades, over these dots, of which
// a cell has two by four, and over these text.
type canvas struct {
	wide, high int
	coarse     bool // the terminal lacks Braille patterns: a dot is a whole cell
	shade      []bool
	dots       []uint8
	text       []rune
}

func newCanvas(wide, high int, coarse bool) *canvas {
	n := wide * high
	return &canvas{wide: wide, high: high, coarse: coarse, shade: make([]bool, n), dots: make([]uint8, n), text: make([]rune, n)}
}

const (
	acrossCell = 2 // dots
	downCell   = 4
)

// braille is which bit of a pattern a dot is, by column and row; see the Unicode standard,
// Braille Patterns, U+2800.
var braille = [acrossCell][downCell]uint8{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}

// dot sets a dot, counted from the top left. What lies beside the canvas is not drawn.
func (c *canvas) dot(x, y int) {
	if x < 0 || y < 0 || x >= acrossCell*c.wide || y >= downCell*c.high {
		return
	}
	c.dots[y/downCell*c.wide+x/acrossCell] |= braille[x%acrossCell][y%downCell]
}

// fill shades the cells of a column that have any of the dots from y0 to y1.
func (c *canvas) fill(x, y0, y1 int) {
	if x < 0 || x >= acrossCell*c.wide || y1 < 0 || y0 >= downCell*c.high {
		return
	}
	for y := max(0, y0) / downCell; y <= min(y1, downCell*c.high-1)/downCell; y++ {
		c.shade[y*c.wide+x/acrossCell] = true
	}
}

// write writes a text from a cell on, as far as there is room.
func (c *canvas) write(x, y int, s string) {
	if y < 0 || y >= c.high {
		return
	}
	for _, r := range s {
		if x >= 0 && x < c.wide {
			c.text[y*c.wide+x] = r
		}
		x++
	}
}

// lines are the rows of it.
func (c *canvas) lines() []string {
	out := make([]string, c.high)
	for y := range out {
		var b strings.Builder
		for x := range c.wide {
			i := y*c.wide + x
			switch {
			case c.text[i] != 0:
				b.WriteRune(c.text[i])
			case c.dots[i] != 0 && c.coarse:
				b.WriteByte('*')
			case c.dots[i] != 0:
				b.WriteRune(rune(0x2800 + int(c.dots[i])))
			case c.shade[i]:
				b.WriteRune('░')
			default:
				b.WriteByte(' ')
			}
		}
		out[y] = b.String()
	}
	return out
}
