package main

import (
	"fmt"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
)

// picture lays the line out.
func (h *hungString) picture() chart.Fit {
	const k = physics.Coverage
	f := chart.Fit{
		Title: fmt.Sprintf("Unit weight %s from %d loads (bars and band: k = %d)", h.UnitWeight.Expanded(k), len(h.Points), k),
		X:     "load (N)", Y: "f0² (Hz²)", Off: "off the line (N)", K: k,
		Line:    func(x float64) (y, u float64) { return h.At(physics.Force(x)) },
		OffLine: func(x float64) float64 { return float64(h.Band(physics.Force(x))) },
	}
	for i, p := range h.Points {
		f.Points = append(f.Points, chart.FitPoint{
			Name: p.Load.String(), X: float64(p.Pull.Value), UX: float64(p.Pull.U), Y: p.Square, UY: p.USquare,
			Off: float64(p.Off.Value), UOff: float64(p.Off.U), Odd: i == h.Odd,
		})
	}
	return f
}
