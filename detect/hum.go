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

// Mains tells whether a frequency, known to within tol Hz, is that of mains hum
// or one of its harmonics up to a number.
func Mains(hz, tol, top float64) bool {
	at := mainsNear(hz, top)
	return at > 0 && math.Abs(hz-at) < at*mainsWithin+tol
}

// mainsNear is the harmonic of the mains, up to a number, that lies nearest to hz; 0
// where none is near.
func mainsNear(hz, top float64) (at float64) {
	for _, m := range mainsHz {
		if k := math.Round(hz / m); k >= 1 && k <= top && (at == 0 || math.Abs(hz-k*m) < math.Abs(hz-at)) {
			at = k * m
		}
	}
	return at
}

// hums tells whether a stray is mains hum: at a harmonic of it, hardly dying.
func (f *fit) hums() bool {
	return slices.ContainsFunc(f.strays, func(s *line) bool {
		return s.alpha < steadyDecay && Mains(s.hz, 0.5/f.secs, mainsTop) && s.snr > leastSNR
	})
}
