package detect

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// A lens shows a line's band as what the line does over time. In its band a damped
// sinusoid is a slow function of time on a carrier in the band's middle, and a slow
// function is known by its values at a few moments, the nodes of a Gauss–Legendre
// quadrature: between them runs the polynomial through them. What such a function has in
// each bin is then a fixed matrix times those values, the same for all lines with as many
// bins; turned into as many orthogonal rows it takes far fewer numbers than the bins.
type lens struct {
	at     []float64 // the moments, as fractions of the window
	middle float64   // of the band, in bins from its first one
	re, im []float64 // [q·len(at)+j]: what is 1 at moment j has in the q-th bin from the middle up, over n
	root   []float64 // [i·len(at)+j], j ≥ i: rootᵀ·root is the inner products of those over the band
	s0, s1 []float64 // the rows' sums over the band and, imaginary, their sums by place
	part   float64   // of the window that the moments lie in
}

// newLens is for bands of so many bins, of n samples, with count moments, an even number, in
// the first part of the window. Transforms are those of Legendre polynomials, which are
// spherical Bessel functions (Abramowitz & Stegun 10.1.14): the sum over samples is n times
// the integral, and half of what the ends differ by (Euler & Maclaurin), but for terms of
// bins/n².
func newLens(n, bins, count int, part float64) *lens {
	ln := &lens{at: make([]float64, count), middle: float64(bins-1) / 2, part: part}
	weight := make([]float64, count)
	quad.Legendre{}.FixedLocations(ln.at, weight, 0, part)
	// The moments lie alike on both sides of the middle one: the last half of them will do.
	// legendre[l][j] = (2l+1) P_l(moment half+j), times the moment's weight and, of that of
	// an imaginary l-th transform, (-i)^l over -i.
	half := count / 2
	legendre := make([]float64, count*half)
	ends := make([]float64, count) // what those differ by where moment j is 1, over 2n: the same in all bins
	far := float64(2*(bins%2) - 1) // by which the carrier has turned at the window's end
	if part < 1 {
		far = 0 // where nothing is left
	}
	for j := range half {
		x := 2*ln.at[half+j]/part - 1
		p, q, sign := 1.0, 0.0, 1.0 // P_l, P_{l-1}
		for l := range count {
			k := float64(l)
			c := (2*k + 1) * p * weight[half+j]
			legendre[l*half+j] = c * sign
			p, q = ((2*k+1)*x*p-k*q)/(k+1), p
			// P_l is 1 at one end and ±1 at the other, and at the moment as far below the middle.
			c /= 2 * float64(n) * part
			if l%2 == 1 {
				sign = -sign
				ends[half+j] -= c * (1 + far)
				ends[half-1-j] += c * (1 + far)
				continue
			}
			ends[half+j] += c * (1 - far)
			ends[half-1-j] += c * (1 - far)
		}
	}
	up := (bins + 1) / 2 // bins from the middle up
	ln.re, ln.im = make([]float64, up*count), make([]float64, up*count)
	ln.s0, ln.s1 = make([]float64, count), make([]float64, count)
	bessel := make([]float64, count)
	even, odd := make([]float64, half), make([]float64, half) // of a bin, seen from the window's middle: real, and over -i
	evens, odds := make([]float64, half*half), make([]float64, half*half)
	for q := range up {
		k := ln.place(q)
		sphericalBessel(bessel, math.Pi*k*part)
		clear(even)
		clear(odd)
		for l := 0; l < count; l += 2 {
			b, c := bessel[l], bessel[l+1]
			next := legendre[(l+1)*half : (l+2)*half]
			for j, p := range legendre[l*half : (l+1)*half] {
				even[j] += p * b
				odd[j] += next[j] * c
			}
		}
		twice := 2.0 // the bin as far below the middle is the conjugate
		if k == 0 {
			twice = 1
		}
		sin, cos := math.Sincos(-math.Pi * k * part)
		re, im := ln.re[q*count:(q+1)*count], ln.im[q*count:(q+1)*count]
		for j, e := range even {
			for _, at := range [...]struct {
				j int
				o float64
			}{{half + j, odd[j]}, {half - 1 - j, -odd[j]}} {
				u, v := e*cos+at.o*sin, e*sin-at.o*cos
				re[at.j], im[at.j] = u+ends[at.j], v
				ln.s0[at.j] += twice * u
				ln.s1[at.j] += twice * k * v
			}
			a, b := twice*e, twice*odd[j]
			for i := j; i < half; i++ {
				evens[j*half+i] += a * even[i]
				odds[j*half+i] += b * odd[i]
			}
		}
	}
	power := make([]float64, count*count)
	for j := range half {
		for i := j; i < half; i++ {
			e, o := evens[j*half+i], odds[j*half+i]
			power[(half+j)*count+half+i] = e + o
			power[(half-1-i)*count+half-1-j] = e + o
			power[(half-1-i)*count+half+j] = e - o
			power[(half-1-j)*count+half+i] = e - o
		}
	}
	for i, a := range ends {
		for j := i; j < count; j++ {
			power[i*count+j] += a*(ln.s0[j]+float64(bins)*ends[j]) + ln.s0[i]*ends[j]
		}
	}
	for i, a := range ends {
		ln.s0[i] += float64(bins) * a
	}
	ln.root = cholesky(power, count)
	ln.toRows(ln.s0)
	ln.toRows(ln.s1)
	return ln
}

// place is where the q-th bin from the middle up lies, in bins from the middle.
func (ln *lens) place(q int) float64 { return float64(q) + ln.middle - math.Floor(ln.middle) }

// cholesky is the upper triangular root of a symmetric n × n matrix, of which the upper
// triangle is read. What the moments can do but no bin of the band shows has a row of
// nothing.
func cholesky(a []float64, n int) []float64 {
	root := make([]float64, n*n)
	for i := range n {
		pivot := a[i*n+i]
		for k := range i {
			pivot -= root[k*n+i] * root[k*n+i]
		}
		if pivot < 1e-9*a[i*n+i] {
			continue
		}
		d := math.Sqrt(pivot)
		root[i*n+i] = d
		for j := i + 1; j < n; j++ {
			v := a[i*n+j]
			for k := range i {
				v -= root[k*n+i] * root[k*n+j]
			}
			root[i*n+j] = v / d
		}
	}
	return root
}

// toRows makes of what inner products with the moments' bins are those with the rows, in
// place: v = rootᵀ·rows.
func (ln *lens) toRows(v []float64) {
	n := len(v)
	for i := range n {
		d := ln.root[i*n+i]
		if d == 0 {
			v[i] = 0
			continue
		}
		v[i] /= d
		for j := i + 1; j < n; j++ {
			v[j] -= ln.root[i*n+j] * v[i]
		}
	}
}

// look makes rows of what something does at the moments, its real and its imaginary parts,
// in place.
func (ln *lens) look(re, im []float64) {
	n := len(re)
	im = im[:n]
	for i := range n {
		row := ln.root[i*n+i : i*n+n]
		x, y := re[i:], im[i:]
		x, y = x[:len(row)], y[:len(row)]
		var sr, si float64
		for j, r := range row {
			sr += r * x[j]
			si += r * y[j]
		}
		re[i], im[i] = sr, si
	}
}

// show sets re and im to the rows of what is in a band, r.
func (ln *lens) show(re, im []float64, r []complex128) {
	count := len(ln.at)
	re, im = re[:count], im[:count]
	clear(re)
	clear(im)
	first := len(r) / 2 // the first bin of the upper half, the middle one's if there is one
	for q := range (len(r) + 1) / 2 {
		a, b := r[first+q], r[len(r)-1-first-q]
		if ln.place(q) == 0 {
			b = 0
		}
		sr, si := real(a)+real(b), imag(a)+imag(b)
		dr, di := real(a)-real(b), imag(a)-imag(b)
		v := ln.im[q*count : (q+1)*count]
		for j, u := range ln.re[q*count : (q+1)*count] {
			re[j] += u*sr + v[j]*di
			im[j] += u*si - v[j]*dr
		}
	}
	ln.toRows(re)
	ln.toRows(im)
}

// sphericalBessel sets dst to j_0(x), j_1(x), … by their recurrence (Abramowitz & Stegun
// 10.1.19): upwards where x is beyond them all, else downwards from where they are nothing
// (Miller's algorithm: 10.5).
func sphericalBessel(dst []float64, x float64) {
	clear(dst)
	if x == 0 {
		dst[0] = 1
		return
	}
	sin, cos := math.Sincos(x)
	j0, j1 := sin/x, (sin/x-cos)/x
	per := 1 / x
	if x > float64(len(dst)) {
		for l := range dst {
			dst[l] = j0
			j0, j1 = j1, float64(2*l+3)*per*j1-j0
		}
		return
	}
	above, here := 0.0, 1e-120
	for l := len(dst) + 30; l >= 0; l-- {
		if l < len(dst) {
			dst[l] = here
		}
		above, here = here, float64(2*l+1)*per*here-above
	}
	scale := j0 / dst[0]
	if math.Abs(j1) > math.Abs(j0) {
		scale = j1 / dst[1]
	}
	for l := range dst {
		dst[l] *= scale
	}
}
