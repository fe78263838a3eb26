package settle

import (
	"math"
	"slices"
)

// quartile is the median of |z| for a standard normal z.
const quartile = 0.67449

// plenty is a number of readings from which on more do not matter for a median.
const plenty = 5000

// localScatter is by how much neighbouring readings scatter beyond their own
// uncertainties, whatever the pitch does in the long run: from how far each lies off the
// line through its neighbours (Gasser, Sroka and Jennen-Steinmetz, Biometrika 73 (1986)
// 625), by the median, which steps and outliers do not move.
func localScatter(all []Reading) float64 {
	var off, own, share []float64 // squared: what is seen, what u explains, how much scatter counts in it
	stride := 1 + len(all)/plenty
	for i := 1; i+1 < len(all); i += stride {
		p, q, r := all[i-1], all[i], all[i+1]
		c := 0.5
		if r.At > p.At {
			c = (r.At - q.At) / (r.At - p.At)
		}
		d := q.Cents - c*p.Cents - (1-c)*r.Cents
		off = append(off, d*d)
		own = append(own, q.U*q.U+c*c*p.U*p.U+(1-c)*(1-c)*r.U*r.U)
		share = append(share, 1+c*c+(1-c)*(1-c))
	}
	if len(off) == 0 {
		return 0
	}
	// The scatter at which the median of what is seen is what it should be.
	ratio := make([]float64, len(off))
	surplus := func(s float64) bool {
		for i := range off {
			ratio[i] = off[i] / (own[i] + s*s*share[i])
		}
		return median(ratio) > quartile*quartile
	}
	if !surplus(0) {
		return 0
	}
	lo, hi := 0.0, math.Sqrt(slices.Max(off))/quartile
	for range 40 {
		if mid := (lo + hi) / 2; surplus(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// median sorts x, and returns 0 of none.
func median(x []float64) float64 {
	slices.Sort(x)
	n := len(x)
	if n == 0 {
		return 0
	}
	return (x[(n-1)/2] + x[n/2]) / 2
}

// lonely is how many readings next to each other a reading is compared with to tell
// whether it stands alone, and farOff how many times its scatter it must lie off them.
const (
	lonely = 3 // to each side
	farOff = 6
)

// alone finds readings that lie off all their neighbours: something else was heard. They
// lie off their median (Hampel's identifier, from memory), and off the line through them
// too: a pitch that only creeps is its own median, however fast, and next to another that
// stands alone still lies on the line. The first and the last few have too few neighbours,
// and are left.
func alone(all []Reading, scatter float64) []bool {
	out := make([]bool, len(all))
	window := make([]float64, 0, 2*lonely+1)
	for i := lonely; i+lonely < len(all); i++ {
		near := all[i-lonely : i+lonely+1]
		far := farOff * math.Hypot(scatter, all[i].U)
		window = window[:0]
		for _, r := range near {
			window = append(window, r.Cents)
		}
		if math.Abs(all[i].Cents-median(window)) <= far {
			continue
		}
		slope := repeatedMedian(near)
		window = window[:0]
		for _, r := range near {
			window = append(window, r.Cents-slope*(r.At-all[i].At))
		}
		out[i] = math.Abs(all[i].Cents-median(window)) > far
	}
	return out
}

// repeatedMedian is the slope of a line through readings of which fewer than half are
// something else (Siegel, Biometrika 69 (1982) 242).
func repeatedMedian(all []Reading) float64 {
	var slopes, to []float64
	for i, p := range all {
		to = to[:0]
		for j, q := range all {
			if j != i && q.At != p.At {
				to = append(to, (q.Cents-p.Cents)/(q.At-p.At))
			}
		}
		if len(to) > 0 {
			slopes = append(slopes, median(to))
		}
	}
	return median(slopes)
}

// A mixture tells readings that belong to the law from those that are something else:
// the former scatter about it by their u and a common scatter, the latter lie anywhere
// (Hogg, Bovy and Lang, arXiv 1008.4686, 2010). It is fitted by expectation and
// maximisation.
type mixture struct {
	scatter float64   // beyond u
	wrong   float64   // fraction of readings that are something else
	span    float64   // within which those lie, cents
	weight  []float64 // of each reading, the probability that it belongs
}

// Of readings that are something else one in twenty is expected, as much as twenty
// readings would say.
const (
	wrongExpected = 0.05
	wrongCounts   = 20
)

// weigh gives each reading its weight, from how far it lies off the law, and returns by
// how much that changes the weights, in all.
func (m *mixture) weigh(all []Reading, off []float64) (moved float64) {
	sum := 0.0
	for i, r := range all {
		w := m.belongs(off[i], r.U)
		moved += math.Abs(w - m.weight[i])
		m.weight[i] = w
		sum += 1 - w
	}
	m.wrong = (sum + wrongExpected*wrongCounts) / (float64(len(all)) + wrongCounts)
	return moved
}

// doubt gives readings weights that do not let some that are far off pull a law to them,
// as a beginning: those of a Cauchy distribution (Holland and Welsch, Commun. Stat. A6
// (1977) 813, from memory) as wide as the middle half of the readings lie.
func (m *mixture) doubt(all []Reading, off []float64) {
	var far, own []float64
	for i := 0; i < len(off); i += 1 + len(off)/plenty {
		far, own = append(far, math.Abs(off[i])), append(own, all[i].U)
	}
	width, u := median(far)/quartile, median(own)
	m.scatter = root(width*width - u*u)
	for i, r := range all {
		const best = 2.385 // for what is normal after all
		m.weight[i] = 1 / (1 + off[i]*off[i]/(best*best*(r.U*r.U+m.scatter*m.scatter)))
	}
}

// belongs is the probability that a reading so far off belongs to the law.
func (m *mixture) belongs(off, u float64) float64 {
	v := u*u + m.scatter*m.scatter
	good := (1 - m.wrong) * math.Exp(-off*off/(2*v)) / math.Sqrt(2*math.Pi*v)
	return good / (good + m.wrong/m.span)
}

// logLikelihood is that of all readings.
func (m *mixture) logLikelihood(all []Reading, off []float64) float64 {
	// The logarithm of a product takes as long as that of one factor; so many stay a number.
	const together = 8
	sum, product := 0.0, 1.0
	for i, r := range all {
		v := r.U*r.U + m.scatter*m.scatter
		product *= (1-m.wrong)*math.Exp(-off[i]*off[i]/(2*v))/math.Sqrt(2*math.Pi*v) + m.wrong/m.span
		if i%together == together-1 {
			sum += math.Log(product)
			product = 1
		}
	}
	return sum + math.Log(product)
}

// spread sets the scatter to what explains how far the readings lie off a law with so
// many free parameters: by maximum likelihood, made up for the parameters, in steps of
// Fisher's scoring.
func (m *mixture) spread(all []Reading, off []float64, parameters int) {
	n := 0.0
	for _, w := range m.weight {
		n += w
	}
	free := max(n-float64(parameters), 0.5)
	square := m.scatter * m.scatter
	for range 4 {
		top, bottom := 0.0, 0.0
		for i, r := range all {
			v := r.U*r.U + square
			top += m.weight[i] * (off[i]*off[i]*n/free - r.U*r.U) / (v * v)
			bottom += m.weight[i] / (v * v)
		}
		if !(bottom > 0) {
			return
		}
		was := square
		if square = max(0, top/bottom); math.Abs(square-was) <= 1e-4*was {
			break
		}
	}
	m.scatter = math.Sqrt(square)
}
