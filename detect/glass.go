package detect

import "math"

const (
	lensLeast    = 16    // bins, with fewer of which a lens saves nothing
	lensMost     = 48    // moments, with more likewise
	lensShare    = 0.6   // of the bins, with more moments than which likewise
	lnLensError  = -11.5 // ln of what the polynomial through the moments may be off by, relative,
	lnGlideError = -7.0  // and of what how modes move with a glide may be: only what is left of it bends them
)

var lensCounts = [...]int{8, 10, 12, 14, 16, 18, 20, 22, 24, 28, 32, 40, lensMost}

// lenses keeps what has been made, by the window's samples, bins, moments, and parts of the
// window. A nil one keeps none.
type lenses map[[4]int]*lens

// of is the lens for a band of so many bins, of n samples, and a line whose modes' exponents
// over the window are s, or not much else, and dying where they fade by a glide's decay
// besides; nil where there is none.
func (ls lenses) of(n, bins int, s, dying []complex128) *lens {
	if bins < lensLeast {
		return nil
	}
	slowest := math.Inf(1)
	for _, s := range s {
		slowest = min(slowest, -real(s))
	}
	parts := 1
	for slowest/float64(parts) > 32 && parts < 1<<20 {
		parts *= 2 // what follows is e⁻¹⁶ of the line
	}
	shows := func(count int) bool {
		for _, s := range s {
			if !renders(count, 1/float64(parts), s+roomAbout(s), lnLensError) {
				return false
			}
		}
		for _, s := range dying {
			if !renders(count, 1/float64(parts), s, lnGlideError) {
				return false
			}
		}
		return true
	}
	for _, count := range lensCounts {
		if float64(count) > lensShare*float64(bins) {
			break
		}
		if !shows(count) {
			continue
		}
		key := [4]int{n, bins, count, parts}
		ln, ok := ls[key]
		if !ok {
			ln = newLens(n, bins, count, 1/float64(parts))
			if ls != nil {
				ls[key] = ln
			}
		}
		return ln
	}
	return nil
}

// roomAbout is by how much a mode's exponent may come to move before it is viewed anew.
func roomAbout(s complex128) complex128 {
	return complex(0.1*real(s)-0.2, math.Copysign(1, imag(s)))
}

// renders tells whether the polynomial through count moments in a part of the window is
// within an error, whose logarithm is given, of a mode of exponent s over the window: by
// the first Chebyshev coefficient left out, 2 e^(Re z) I_count(|z|) with z the exponent
// over half the part (Abramowitz & Stegun 9.6.34, 9.6.10).
func renders(count int, part float64, s complex128, lnError float64) bool {
	n := float64(count)
	z := s * complex(part/2, 0)
	q := sq(z)/4 + 1e-30
	return math.Ln2+n/2*math.Log(q)-lnFactorial[count]+q/(n+1)+real(z) < lnError
}

var lnFactorial = func() (ln [lensMost + 1]float64) {
	for i := 2; i < len(ln); i++ {
		ln[i] = ln[i-1] + math.Log(float64(i))
	}
	return ln
}()
