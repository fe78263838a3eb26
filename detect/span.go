package detect

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// nodes is how many points of a span carry what distant lines leak into it. A
// line at least one span's half-width from the span's edge leaks a function that
// eight Chebyshev nodes render to 5e-5 of itself (1/T₈(2)).
const nodes = 8

// Of lines far away fewer nodes carry as much: 1/T₄(7.2) is no more than 1/T₈(2).
const (
	fewNodes = 4
	fewFrom  = 7.2 // of a span's half-width from its middle
)

// A span is a stretch of bins [lo, hi) in which the fit looks at the spectrum.
type span struct {
	lo, hi int
	tw     [nodes]complex128    // twiddles at the nodes, between bins,
	few    [fewNodes]complex128 // and at those for lines far away
	far    [nodes]complex128    // what distant lines leak there, to be added
	weight [][nodes]float64     // Lagrange polynomials of the nodes at each bin
}

// setSpans makes disjoint spans of the lines' bins.
func (fr *frame) setSpans(lines []*line) {
	ranges := make([][2]int, 0, len(lines))
	for _, l := range lines {
		ranges = append(ranges, [2]int{l.lo, l.hi})
	}
	slices.SortFunc(ranges, func(a, b [2]int) int { return cmp.Compare(a[0], b[0]) })
	fr.spans = fr.spans[:0]
	done := 0
	for _, r := range ranges {
		if lo := max(r[0], done); lo < r[1] {
			fr.spans = append(fr.spans, newSpan(lo, r[1], fr.n, fr.weights))
			done = r[1]
		}
	}
}

// chebyshev are the places of n Chebyshev nodes between -1 and 1.
func chebyshev(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = math.Cos((2*float64(i) + 1) * math.Pi / float64(2*n))
	}
	return x
}

// lagrange sets dst to the Lagrange polynomials of the Chebyshev nodes x at a place, by
// their barycentric form (Berrut & Trefethen 2004).
func lagrange(dst, x []float64, at float64) {
	sum := 0.0
	for i, v := range x {
		d := at - v
		if d == 0 {
			clear(dst)
			dst[i] = 1
			return
		}
		dst[i] = math.Sqrt(1-v*v) * float64(1-2*(i%2)) / d
		sum += dst[i]
	}
	for i := range dst {
		dst[i] /= sum
	}
}

var nodePlaces, fewPlaces = chebyshev(nodes), chebyshev(fewNodes)

// fewWeight are the Lagrange polynomials of the few nodes at all.
var fewWeight = func() (w [nodes][fewNodes]float64) {
	for i, x := range nodePlaces {
		lagrange(w[i][:], fewPlaces, x)
	}
	return w
}()

func newSpan(lo, hi, n int, w weights) span {
	sp := span{lo: lo, hi: hi, weight: w.of(hi - lo)}
	mid, half := float64(lo+hi-1)/2, math.Max(float64(hi-1-lo)/2, 0.5)
	twiddle := func(x float64) complex128 {
		sin, cos := math.Sincos(-2 * math.Pi * (mid + half*x) / float64(n))
		return complex(cos, sin)
	}
	for i, x := range nodePlaces {
		sp.tw[i] = twiddle(x)
	}
	for i, x := range fewPlaces {
		sp.few[i] = twiddle(x)
	}
	return sp
}

// weights keeps the Lagrange polynomials of the nodes at each bin of a span by how many
// bins it has. A nil one keeps none.
type weights map[int][][nodes]float64

func (ws weights) of(bins int) [][nodes]float64 {
	w, ok := ws[bins]
	if !ok {
		w = make([][nodes]float64, bins)
		mid := float64(bins-1) / 2
		for k := range w {
			lagrange(w[k][:], nodePlaces, (float64(k)-mid)/math.Max(mid, 0.5))
		}
		if ws != nil {
			ws[bins] = w
		}
	}
	return w
}

// leak sets far to what the waves that are not near leak, and the images of those that are.
func (sp *span) leak(waves []wave) {
	sp.far = [nodes]complex128{}
	var few [fewNodes]complex128
	mid, away := float64(sp.lo+sp.hi-1)/2, fewFrom*math.Max(float64(sp.hi-1-sp.lo)/2, 0.5)
	for j := range waves {
		v := &waves[j]
		switch {
		case sp.near(v.bin):
			if !sp.whole(v) {
				for i, w := range sp.tw {
					sp.far[i] -= v.b * inverse(1-cmplx.Conj(v.z)*w)
				}
			}
		case math.Abs(mid-v.bin) > away && mid+v.bin > away:
			for i, w := range sp.few {
				few[i] -= v.at(w)
			}
		default:
			for i, w := range sp.tw {
				sp.far[i] -= v.at(w)
			}
		}
	}
	for i := range sp.far {
		for j, w := range fewWeight[i] {
			sp.far[i] += complex(w, 0) * few[j]
		}
	}
}

// near tells whether a line at bin c, or its image at -c, is too close for the nodes.
func (sp *span) near(c float64) bool {
	clear := float64(sp.hi-sp.lo) / 2
	return (c > float64(sp.lo)-clear && c < float64(sp.hi)+clear) || float64(sp.lo)+c < clear
}

// whole tells whether a wave that is near is taken with its image: one two widths of the
// span away is rendered by the nodes to 2e-8 (1/T₈(5)).
func (sp *span) whole(v *wave) bool {
	return v.undying || float64(sp.lo)+v.bin < float64(2*(sp.hi-sp.lo))
}

// spread adds to dst what its nodes carry.
func (sp *span) spread(dst []complex128, far *[nodes]complex128) {
	for k := range sp.weight {
		w := &sp.weight[k]
		re, im := 0.0, 0.0
		for i, v := range far {
			re += w[i] * real(v)
			im += w[i] * imag(v)
		}
		dst[sp.lo+k] += complex(re, im)
	}
}
