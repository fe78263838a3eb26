package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
)

// drawable refuses a picture that could not be written, before anything is heard.
func (h *hanging) drawable() error { return drawable(h.picture, h.e.overwrite, "SVG") }

// drawable refuses a file that a picture of one of these kinds could not be written to.
func drawable(name string, overwrite bool, kinds ...string) error {
	kind := strings.ToUpper(strings.TrimPrefix(filepath.Ext(name), "."))
	switch {
	case name == "":
		return nil
	case !slices.Contains(kinds, kind):
		return &callError{fmt.Sprintf("--picture %s is no %s file", name, strings.Join(kinds, " or ")), "name it like fit." + strings.ToLower(kinds[0])}
	case !exists(filepath.Dir(name)):
		return noFolder(name)
	case exists(name) && !overwrite:
		return existsAlready(name)
	}
	// Only to see whether it can be written: one that was there stays as it is.
	fresh := !exists(name)
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE, 0o666)
	var cannot *fs.PathError
	if errors.As(err, &cannot) {
		return &callError{fmt.Sprintf("%s: %v", name, cannot.Err), "name another file"}
	}
	if err != nil {
		return failure{err}
	}
	f.Close()
	if fresh {
		os.Remove(name)
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
	return writePicture(h.picture, doc)
}

func writePicture(name string, doc []byte) error {
	if err := os.WriteFile(name, doc, 0o666); err != nil {
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
