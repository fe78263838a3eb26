package detect

import "math"

// The mains of the world run at 50 or 60 Hz, within some tenths of a per cent.
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

// hums counts the strays that hum: at harmonics of the mains, hardly dying.
func (f *fit) hums() int {
	n := 0
	for _, s := range f.strays {
		if s.alpha < steadyDecay && mains(s.hz, 0.5/f.secs, mainsTop) && s.snr > leastSNR {
			n++
		}
	}
	return n
}
