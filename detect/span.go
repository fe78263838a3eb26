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

// A span is a stretch of bins [lo, hi) in which the fit looks at the spectrum.
type span struct {
	lo, hi int
	tw     [nodes]complex128 // twiddles at the nodes, between bins
	far    [nodes]complex128 // what distant lines leak there, to be added
	weight [][nodes]float64  // Lagrange polynomials of the nodes at each bin
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
			fr.spans = append(fr.spans, newSpan(lo, r[1], fr.n))
			done = r[1]
		}
	}
}

func newSpan(lo, hi, n int) span {
	sp := span{lo: lo, hi: hi, weight: make([][nodes]float64, hi-lo)}
	mid, half := float64(lo+hi-1)/2, math.Max(float64(hi-1-lo)/2, 0.5)
	var x, bary [nodes]float64
	for i := range nodes {
		t := (2*float64(i) + 1) * math.Pi / (2 * nodes)
		x[i] = mid + half*math.Cos(t)
		sp.tw[i] = cmplx.Exp(complex(0, -2*math.Pi*x[i]/float64(n)))
		bary[i] = math.Sin(t) * float64(1-2*(i%2))
	}
	// Barycentric form of the Lagrange polynomials (Berrut & Trefethen 2004).
	for k := range sp.weight {
		sum := 0.0
		for i := range nodes {
			d := float64(lo+k) - x[i]
			if d == 0 {
				sp.weight[k] = [nodes]float64{}
				sp.weight[k][i], sum = 1, 1
				break
			}
			sp.weight[k][i] = bary[i] / d
			sum += bary[i] / d
		}
		for i := range nodes {
			sp.weight[k][i] /= sum
		}
	}
	return sp
}

// near tells whether a line at bin c, or its image at -c, is too close for the nodes.
func (sp *span) near(c float64) bool {
	clear := float64(sp.hi-sp.lo) / 2
	return (c > float64(sp.lo)-clear && c < float64(sp.hi)+clear) || float64(sp.lo)+c < clear
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
