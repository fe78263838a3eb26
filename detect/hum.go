package detect

import (
	"math"
	"slices"
)

// The mains of the world run at 50 or 60 Hz, within a tenth of a per cent.
var mainsHz = [...]float64{50, 60}

const (
	mainsWithin = 0.001 // relative, by which mains frequency strays
	mainsTop    = 20    // harmonics of it that are looked for
)

// mains tells whether a frequency, known to within tol Hz, is that of mains hum
// or one of its harmonics up to a number.
func mains(hz, tol, top float64) bool {
	for _, m := range mainsHz {
		k := math.Round(hz / m)
		if k >= 1 && k <= top && math.Abs(hz-k*m) < k*m*mainsWithin+tol {
			return true
		}
	}
	return false
}

// hums tells whether a stray is mains hum: at a harmonic of it, hardly dying.
func (f *fit) hums() bool {
	return slices.ContainsFunc(f.strays, func(s *line) bool {
		return s.alpha < steadyDecay && mains(s.hz, 0.5/f.secs, mainsTop) && s.snr > leastSNR
	})
}
