package lesson

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"pluckweigh/detect"
)

// A comb is what the strengths of a pluck's partials say of where it was plucked: a string
// drawn aside at β of its length has partial n by sin(nπβ), so that those with a node
// there are missing (T. Young, Phil. Trans. R. Soc. 90 (1800) 106; any acoustics text).
type comb struct {
	n      []float64 // numbers of the partials heard
	db     []float64 // and their levels at the onset
	absent []float64 // numbers, below the highest heard, of those that were not
	floor  float64   // the lowest level that was heard
}

// deepest is how weak a partial is at its node against one at its belly: hands and picks
// have a width, and no pluck is exactly where it is said to be.
const deepest = 0.03

// mostCombed is the highest partial that is looked at: a pick's width takes those above.
const mostCombed = 30

func combOf(p detect.Pluck) (c comb) {
	heard := map[int]bool{}
	highest := 0
	for _, q := range p.Partials {
		if q.N > mostCombed {
			continue
		}
		heard[q.N], highest = true, max(highest, q.N)
		c.n, c.db = append(c.n, float64(q.N)), append(c.db, 20*math.Log10(amplitude(q, p)))
	}
	if len(c.db) > 0 {
		c.floor = slices.Min(c.db)
	}
	for n := 1; n < highest; n++ {
		if !heard[n] {
			c.absent = append(c.absent, float64(n))
		}
	}
	return c
}

// tooth is what plucking at β does to partial n, in dB.
func tooth(n, beta float64) float64 {
	s := math.Sin(n * math.Pi * beta)
	return 10 * math.Log10((s*s+deepest*deepest)/(1+deepest*deepest))
}

// misfit is the sum of squares, in dB², by which levels differ from those of a string
// plucked at β, whose partials otherwise fall with some power of their number. A partial
// that is absent counts as far as it should stand above the weakest that was heard.
func (c comb) misfit(beta float64) (sum float64) {
	x, y := make([]float64, len(c.n)), make([]float64, len(c.n))
	for i, n := range c.n {
		x[i], y[i] = math.Log(n), c.db[i]-tooth(n, beta)
	}
	a, b := stat.LinearRegression(x, y, nil, false)
	for i := range x {
		sum += math.Pow(y[i]-a-b*x[i], 2)
	}
	for _, n := range c.absent {
		if over := a + b*math.Log(n) + tooth(n, beta) - c.floor; over > 0 {
			sum += over * over
		}
	}
	return sum
}

// fewest is how many partials tell a place.
const fewest = 6

// place is where the string was plucked, as a fraction of its length from the nearer end,
// with its standard uncertainty. The error is an *UnheardError.
func (c comb) place() (beta, u float64, err error) {
	if len(c.n) < fewest {
		return 0, 0, &UnheardError{fmt.Sprintf("%d partials were heard, too few to tell where the string was plucked", len(c.n)), "pluck louder, with the edge of a pick"}
	}
	const step = 0.0005
	type low struct{ at, sum float64 }
	var lows []low
	last, before := math.Inf(1), math.Inf(1)
	for at := step; at <= 0.5+step; at += step {
		now := c.misfit(at)
		if last <= before && last <= now {
			lows = append(lows, low{at - step, last})
		}
		before, last = last, now
	}
	if len(lows) == 0 {
		return 0, 0, &UnheardError{"the strengths of the partials do not tell where the string was plucked", "pluck with the edge of a pick, away from the middle"}
	}
	slices.SortFunc(lows, func(a, b low) int { return int(math.Copysign(1, a.sum-b.sum)) })
	best := lows[0]
	count := float64(len(c.n) + len(c.absent))
	variance := max(best.sum/max(count-3, 1), 0.25) // dB²: a level is never told better than that
	// The parabola through its neighbours, wide enough for the misfit to rise by about its
	// variance.
	h := step
	for h < 0.02 && c.misfit(best.at+h)+c.misfit(best.at-h)-2*best.sum < 2*variance {
		h *= 1.5
	}
	left, right := c.misfit(best.at-h), c.misfit(best.at+h)
	bend := (left + right - 2*best.sum) / (h * h)
	if !(bend > 0) {
		return 0, 0, &UnheardError{"the strengths of the partials do not tell where the string was plucked", "pluck with the edge of a pick, away from the middle"}
	}
	beta = best.at - (right-left)/(2*h)/bend
	u = math.Sqrt(2 * variance / bend)
	// Another place that would do nearly as well is another answer.
	const sure = 9
	for _, x := range lows[1:] {
		if math.Abs(x.at-best.at) > max(4*u, 0.01) && x.sum-best.sum < sure*variance {
			return 0, 0, &UnheardError{fmt.Sprintf("the strengths of the partials go with a pluck at %.3g of the length as well as at %.3g", best.at, x.at),
				"hear it with a microphone, not a pickup, and pluck with the edge of a pick"}
		}
	}
	return beta, u, nil
}

// missing are the partials that a pluck at β leaves out, and that are weak or absent, up to
// the highest that was heard.
func (c comb) missing(beta float64) (out []int) {
	const weak = -12 // dB
	for n := 1.0; n <= slices.Max(c.n); n++ {
		if tooth(n, beta) < weak {
			out = append(out, int(n))
		}
	}
	return out
}
