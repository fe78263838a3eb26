package course

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	combed    = 6   // partials by which strings are looked for
	combCents = 0.5 // steps in which
	kept      = 5   // of the best places
	apart     = 3.0 // cents between two of them
)

// A comb scores fundamentals by how far their partials stand out of a spectrum.
type comb struct {
	db  []float64 // over the noise
	bin float64   // Hz
}

func newComb(x []float64, rate, from, to float64) *comb {
	lo, hi := max(0, int(from*rate)), min(len(x), int(to*rate))
	n := hi - lo
	size := 1
	for size < 4*n {
		size *= 2
	}
	y := make([]float64, size)
	for i := range n {
		y[i] = x[lo+i] * (1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n)))
	}
	c := &comb{bin: rate / float64(size)}
	top := int(6000 / c.bin)
	for _, v := range fourier.NewFFT(size).Coefficients(nil, y)[:min(top, size/2)] {
		c.db = append(c.db, 20*math.Log10(cmplx.Abs(v)+1e-30))
	}
	sorted := slices.Clone(c.db)
	slices.Sort(sorted)
	floor := sorted[len(sorted)/2]
	for i := range c.db {
		c.db[i] = max(0, c.db[i]-floor-10)
	}
	return c
}

// score is what stands out at the partials of a fundamental.
func (c *comb) score(f float64) float64 {
	sum := 0.0
	for n := 1; n <= combed; n++ {
		if i := int(math.Round(law{f0: f, b: priorB / 2}.hz(n) / c.bin)); i < len(c.db) {
			sum += c.db[i]
		}
	}
	return sum
}

// best lists fundamentals about a note, the likeliest first.
func (c *comb) best(note, within float64) []float64 {
	type found struct{ f, score float64 }
	var all []found
	for d := -within; d <= within; d += combCents {
		f := note * math.Exp2(d/1200)
		s := c.score(f)
		if s > c.score(f*math.Exp2(-combCents/1200)) && s >= c.score(f*math.Exp2(combCents/1200)) {
			all = append(all, found{f, s})
		}
	}
	slices.SortFunc(all, func(a, b found) int { return cmp.Compare(b.score, a.score) })
	var out []float64
	for _, x := range all {
		if len(out) < kept && !slices.ContainsFunc(out, func(f float64) bool { return math.Abs(math.Log(f/x.f)*cent) < apart }) {
			out = append(out, x.f)
		}
	}
	return out
}
