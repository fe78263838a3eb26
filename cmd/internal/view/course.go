package view

import (
	"fmt"
	"math"
)

// draw draws readings over time, the law that they follow and its band; what is beyond the
// last reading is marked.
func (x Course) draw(wide, high int, coarse bool) []string {
	out := []string{cut(x.Y+", ░ the law's band", wide)}
	c := newCanvas(max(1, wide-margin), max(1, high-3), coarse)
	lo, hi := math.Inf(1), math.Inf(-1)
	from, to := math.Inf(1), math.Inf(-1)
	take := func(at, low, high float64) {
		from, to = min(from, at), max(to, at)
		lo, hi = min(lo, low), max(hi, high)
	}
	for _, l := range x.Law {
		take(l.X, l.Y-x.K*l.U, l.Y+x.K*l.U)
	}
	for _, p := range x.Points {
		if !p.Odd || len(x.Law) == 0 {
			take(p.X, p.Y, p.Y)
		}
	}
	if span := hi - lo; span < 0.1 {
		lo, hi = lo-(0.1-span)/2, hi+(0.1-span)/2
	}
	if to <= from {
		to = from + 1
	}
	col := func(at float64) int { return int(math.Round((at - from) / (to - from) * float64(acrossCell*c.wide-1))) }
	row := func(v float64) int { return int(math.Round((hi - v) / (hi - lo) * float64(downCell*c.high-1))) }
	for _, l := range x.Law {
		c.fill(col(l.X), row(l.Y+x.K*l.U), row(l.Y-x.K*l.U))
		c.dot(col(l.X), row(l.Y))
	}
	for _, p := range x.Points {
		mark := "o"
		switch {
		case p.Odd:
			mark = "x"
		case len(x.Points) > c.wide/2:
			c.dot(col(p.X), row(p.Y)) // marks would hide the law
			continue
		}
		if v := row(p.Y); v >= 0 && v < downCell*c.high {
			c.write(col(p.X)/acrossCell, v/downCell, mark)
		}
	}
	ahead := newCanvas(c.wide, 1, coarse)
	ahead.write(0, 0, fmt.Sprintf("%.3g", from))
	end := fmt.Sprintf("%.3g", to)
	ahead.write(c.wide-len(end), 0, end)
	if now := col(x.Ahead) / acrossCell; len(x.Law) > 0 && x.Ahead < to {
		for i := range c.high {
			if j := i*c.wide + min(now+1, c.wide-1); c.text[j] == 0 && c.dots[j] == 0 {
				c.text[j] = '┊'
			}
		}
		ahead.write(now-1, 0, "now")
	}
	for i, l := range c.lines() {
		name := ""
		switch i {
		case 0:
			name = fmt.Sprintf("%+.2f", hi)
		case c.high - 1:
			name = fmt.Sprintf("%+.2f", lo)
		}
		out = append(out, fmt.Sprintf("%*s ┤", margin-2, name)+l)
	}
	out = append(out, fmt.Sprintf("%*s  %s", margin-2, "", ahead.lines()[0]))
	return append(out, fmt.Sprintf("%*s  %s", margin-2, "", x.X))
}
