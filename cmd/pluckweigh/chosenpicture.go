package main

import (
	"fmt"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
)

// picture lays the set out: what is wished for by position, with its uncertainty.
func (a *chosen) picture() chart.Levels {
	l := chart.Levels{Title: fmt.Sprintf("%s: %s", a.on.Name, wishSaid(a.wish, false)), X: "position", Y: "pull (N)", K: physics.Coverage, Between: a.wish.Kind == stock.EvenWish}
	if a.wish.Feel > 0 {
		l.Y = "side force (N)"
	}
	if a.wished() {
		l.Wished = "wish"
	}
	for _, p := range a.answer.Picks {
		v := chart.Level{Place: a.place(p.Position), Name: a.name(p.String), Wish: float64(p.Wanted), None: p.String == choose.Empty, Odd: len(a.doubts(p)) > 0}
		of := p.Pull.Measured
		if a.wish.Feel > 0 {
			of = p.Push
		}
		v.Y, v.U = float64(of.Value), float64(of.U)
		l.Levels = append(l.Levels, v)
	}
	return l
}
