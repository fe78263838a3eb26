package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
)

// drawable refuses a picture that could not be written, before anything is heard.
func (h *hanging) drawable() error {
	switch {
	case h.picture == "":
		return nil
	case !strings.HasSuffix(strings.ToLower(h.picture), ".svg"):
		return &callError{fmt.Sprintf("--picture %s is no SVG file", h.picture), "name it like fit.svg"}
	case h.e.overwrite:
		return nil
	}
	if exists(h.picture) {
		return existsAlready(h.picture)
	}
	return nil
}

func exists(name string) bool {
	_, err := os.Lstat(name)
	return !errors.Is(err, fs.ErrNotExist)
}

// draw draws the line through the loads.
func (h *hanging) draw(s *hungString) error {
	doc, err := s.picture().SVG()
	if err != nil {
		return failure{err}
	}
	if err := os.WriteFile(h.picture, doc, 0o666); err != nil {
		return failure{fmt.Errorf("the picture could not be written: %w", err)}
	}
	return nil
}

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
