package main

import (
	"fmt"
	"io"
	"strings"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// writeLadder draws where partials were heard against the law of the string s,
// about as many rows as fit on a screen.
func writeLadder(w io.Writer, heard []detect.Partial, s synth.String) {
	const cells, rows = 48, 16
	above := func(hz float64, n int) float64 {
		return physics.CentsBetween(physics.Frequency(float64(n)*s.F0()), physics.Frequency(hz))
	}
	most := 1.0 // cents
	for _, p := range heard {
		most = max(most, above(s.Partial(p.N), p.N), above(p.Freq.V, p.N))
	}
	cell := func(cents float64) int { return min(max(0, int(cents/most*(cells-1)+0.5)), cells-1) }
	step := (len(heard) + rows - 1) / rows
	fmt.Fprintf(w, "  %3s  %10s  %6s  %6s\n", "n", "heard", "cents", "law")
	for i := 0; i < len(heard); i += step {
		p := heard[i]
		law, is := above(s.Partial(p.N), p.N), above(p.Freq.V, p.N)
		row := []byte(strings.Repeat(".", cell(law)) + strings.Repeat(" ", cells-cell(law)))
		row[cell(is)] = 'o'
		fmt.Fprintf(w, "  %3d  %7.2f Hz  %6.2f  %6.2f  %s\n", p.N, p.Freq.V, is, law, strings.TrimRight(string(row), " "))
	}
}
