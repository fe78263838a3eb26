package view

import (
	"fmt"
	"math"
)

const (
	railAt   = 4    // columns before the rungs, for the partial's number
	k        = 2    // standard uncertainties that a shade reaches to either side
	faintest = 50.0 // dB below the strongest, at which a rung is at its shortest
)

// ladder draws the partials of a pluck as rungs, the lowest at the bottom. The rail is the
// stiff string's law; a rung is as long as its partial is strong, and the mark on it is
// where the partial stands.
func ladder(p *Pluck, wide, high int) []string {
	out := []string{"partials against the law"}
	switch {
	case p == nil || !p.Trusted || len(p.Rungs) == 0:
		return append(out, "", "  when a pluck was measured")
	case p.Loaded:
		return append(out, "", "  not drawn: a clip moves them", "  off the law of a bare string")
	}
	rows := max(1, high-2)
	step := (len(p.Rungs) + rows - 1) / rows
	var shown []Rung
	loudest := math.Inf(-1)
	for i := 0; i < len(p.Rungs); i += step {
		shown = append(shown, p.Rungs[i])
		loudest = max(loudest, p.Rungs[i].LevelDB)
	}
	var offs []float64
	for _, r := range shown {
		offs = append(offs, math.Abs(r.Off)+k*r.U)
	}
	reach := holding(offs, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50)
	arm := max(1, (wide-railAt-1)/2) // cells to either side of the rail
	for i := len(shown) - 1; i >= 0; i-- {
		out = append(out, fmt.Sprintf("%*d ", railAt-1, shown[i].N)+shown[i].draw(arm, reach, loudest))
	}
	left, right := fmt.Sprintf("%+g", -reach), fmt.Sprintf("%+g cents", reach)
	return append(out, fmt.Sprintf("%*s%-*s│%*s", railAt, "", arm, left, arm, right))
}

// draw draws a rung with arms of so many cells, which reach so many cents.
func (r Rung) draw(arm int, reach, loudest float64) string {
	cells := make([]rune, 2*arm+1)
	at := func(cents float64) int { return arm + int(math.Round(cents/reach*float64(arm))) }
	strength := min(max(0, 1-(loudest-r.LevelDB)/faintest), 1)
	long := 1 + int(math.Round(strength*float64(arm-1)))
	for i := range cells {
		switch d := i - arm; {
		case d == 0:
			cells[i] = '│'
		case d >= -long && d <= long:
			cells[i] = '─'
		default:
			cells[i] = ' '
		}
	}
	if from, to := at(r.Off-k*r.U), at(r.Off+k*r.U); to > from {
		for i := max(0, from); i <= min(to, 2*arm); i++ {
			if i != arm {
				cells[i] = '░'
			}
		}
	}
	mark := 'o'
	if !r.Used {
		mark = 'x'
	}
	switch i := at(r.Off); {
	case i < 0:
		cells[0] = '<'
	case i > 2*arm:
		cells[2*arm] = '>'
	default:
		cells[i] = mark
	}
	return string(cells)
}
