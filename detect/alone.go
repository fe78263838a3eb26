package detect

import (
	"math"
	"math/cmplx"
	"slices"
)

// seconds lists the second modes of lines that have one.
func (f *fit) seconds() (ms []mode) {
	for _, l := range f.used() {
		ms = append(ms, l.modes()[1:]...)
	}
	return ms
}

// beatTakes is how many times as far as two directions lie apart their beating may carry
// the pitch, where they do not just cancel.
const beatTakes = 3.0

// beyondBeats tells whether a pitch that wanders by worst, noise standing for its
// standard deviation, does so farther than two directions that beat carry it.
func (f *fit) beyondBeats(worst, noise float64) bool {
	var apart []float64
	for _, l := range f.used() {
		if ms := l.modes(); len(ms) > 1 {
			apart = append(apart, math.Abs(ms[1].hz/ms[0].hz-1))
		}
	}
	slices.Sort(apart)
	return worst > mostWander*cent && worst > 5*noise && worst > beatTakes*apart[len(apart)/2]
}

// alone is the sound without the second modes of all lines.
func (f *fit) alone() []float64 {
	from, rate := f.sound.from, f.sound.rate
	out := slices.Clone(f.sound.x)
	n := min(f.fr.n, len(out)-from)
	for _, m := range f.seconds() {
		// Glide and rest change slowly: the phase is turned exactly every so often
		// and steadily between.
		const every = 32
		at := func(i int) complex128 {
			t := float64(i) / rate
			return m.amp * cmplx.Exp(complex(-m.alpha*t, 2*math.Pi*math.Mod(m.hz*(t+f.gl.ahead(t)), 1)))
		}
		turn := cmplx.Exp(complex(0, 2*math.Pi*m.hz/rate))
		whole := cmplx.Pow(turn, every)
		a := at(0)
		for lo := 0; lo < n; lo += every {
			b := at(lo + every)
			if b == 0 { // it has died away
				break
			}
			k := turn * cmplx.Exp(cmplx.Log(b/a/whole)/every) // from one sample to the next
			// In four strands, which need not wait for each other.
			k2 := k * k
			k4 := k2 * k2
			z := [4]complex128{a, a * k, a * k2, a * k2 * k}
			here := out[from+lo : from+min(lo+every, n)]
			for ; len(here) >= 4; here = here[4:] {
				here[0] -= real(z[0])
				here[1] -= real(z[1])
				here[2] -= real(z[2])
				here[3] -= real(z[3])
				z[0], z[1], z[2], z[3] = z[0]*k4, z[1]*k4, z[2]*k4, z[3]*k4
			}
			for i := range here {
				here[i] -= real(z[i])
			}
			a = b
		}
	}
	return out
}
