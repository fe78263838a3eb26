package view

import (
	"fmt"
	"math"
	"strings"
)

// margin is what the names of an axis take beside a drawing, columns.
const margin = 7

// strip draws the pitch of the last seconds about the nearest note, what plucks were
// measured to be as a shade, and below it how loud it was.
func (s *State) strip(wide, high int) []string {
	around := 4 // rows for the head, numbers of plucks, the level and time
	low := high < 10
	if low {
		around = 2
	}
	c := newCanvas(max(1, wide-margin), max(1, high-around), s.Coarse)
	note := s.noteHeard()
	now := s.now().Seconds
	x := func(t float64) int {
		return int(math.Floor((t - now + stripSeconds) / stripSeconds * float64(acrossCell*c.wide-1)))
	}
	reach := s.reach(note)
	y := func(cents float64) int { return int(math.Round((1 - cents/reach) / 2 * float64(downCell*c.high-1))) }
	measured, number := -1, 0
	numbers := newCanvas(c.wide, 1, false)
	for _, p := range s.plucks {
		numbers.write(x(p.Onset)/acrossCell, 0, fmt.Sprint(p.Number))
		if p.Trusted && p.Note == note {
			for at := max(0, x(p.Onset)); at <= x(p.To); at++ {
				c.fill(at, y(p.Cents+p.U), y(p.Cents-p.U))
			}
			measured, number = y(p.Cents)/downCell, p.Number
		}
	}
	level := make([]float64, c.wide)
	for _, q := range s.signs {
		at := x(q.Seconds)
		if i := at / acrossCell; i >= 0 && i < len(level) {
			level[i] = max(level[i], 1+q.LevelDB/60)
		}
		if q.Note != "" && q.Note == note && math.Abs(q.Cents) <= reach {
			c.dot(at, y(q.Cents))
		}
	}
	head := "pitch of the last seconds, in cents"
	if note != "" {
		head = "pitch in cents from " + note + ", ► as measured"
	}
	out := []string{head}
	middle := (c.high - 1) / 2
	for i, l := range c.lines() {
		name := ""
		switch {
		case i == 0:
			name = fmt.Sprintf("%+g", reach)
		case i == c.high-1:
			name = fmt.Sprintf("%+g", -reach)
		case i == middle && note != "":
			name = note
		}
		tick := '┤'
		if i == measured {
			if tick = '►'; name == "" {
				name = fmt.Sprint(number)
			}
		}
		out = append(out, fmt.Sprintf("%*s %c", margin-2, name, tick)+l)
	}
	if !low {
		out = append(out, fmt.Sprintf("%*s  ", margin-2, "pluck")+numbers.lines()[0])
	}
	var b strings.Builder
	for _, l := range level {
		b.WriteRune([]rune(" ▁▂▃▄▅▆▇█")[int(min(max(0, l), 1)*8)])
	}
	out = append(out, fmt.Sprintf("%*s  ", margin-2, "level")+b.String())
	if low {
		return out
	}
	return append(out, fmt.Sprintf("%*s  -%g s%*s", margin-2, "", stripSeconds, max(0, c.wide-5), "now"))
}

// noteHeard is the note that was heard last for longer than a moment.
func (s *State) noteHeard() string {
	const long = 4 // signs
	seen := map[string]int{}
	best := ""
	for i := len(s.signs) - 1; i >= 0; i-- {
		n := s.signs[i].Note
		if n == "" {
			continue
		}
		if seen[n]++; seen[n] == long {
			return n
		}
		if seen[n] > seen[best] {
			best = n
		}
	}
	return best
}

// reach is how far to either side the strip goes, cents: so far that nine of ten pitches
// are on it.
func (s *State) reach(note string) float64 {
	var all []float64
	for _, q := range s.signs {
		if q.Note != "" && q.Note == note {
			all = append(all, q.Cents)
		}
	}
	for _, p := range s.plucks {
		if p.Trusted && p.Note == note {
			all = append(all, p.Cents)
		}
	}
	return holding(all, 10, 20, 50)
}

// holding is the first of some reaches that nine tenths of the values lie within, or the
// last.
func holding(values []float64, reaches ...float64) float64 {
	for _, r := range reaches {
		in := 0
		for _, v := range values {
			if math.Abs(v) <= r {
				in++
			}
		}
		if 10*in >= 9*len(values) {
			return r
		}
	}
	return reaches[len(reaches)-1]
}
