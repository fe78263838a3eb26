package physics

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// Draws is how many draws Result.MonteCarlo takes: as many as JCGM 101:2008, 7.2.1,
// expects to give 95 % coverage intervals to one or two digits.
const Draws = 1_000_000

// An Interval is where a value lies with some probability, SI.
type Interval struct{ Low, High float64 }

// A Propagation is what became of the distributions of a model's inputs, SI.
type Propagation struct {
	Draws   int
	Mean, U float64 // mean and standard deviation of the results
	P       float64 // coverage probability of the intervals
	// Symmetric leaves out as many results below as above; Shortest is the shortest
	// that holds as many.
	Symmetric, Shortest Interval
}

// block is how many draws share a source of random numbers.
const block = 1 << 14

// Propagate propagates the distributions of the inputs through the model by Monte
// Carlo (JCGM 101:2008, clause 7), on all processors, with intervals of coverage
// probability p, such as 0.95. The same seed gives the same result on any machine
// of the same arithmetic. The error is an *InputError.
func (m Model) Propagate(draws int, p float64, seed uint64) (Propagation, error) {
	if err := m.check(); err != nil {
		return Propagation{}, err
	}
	// Too few to have a tail beyond the interval would give no interval.
	if !(p > 0 && p < 1) || float64(draws)*(1-p) < 10 || draws > 100*Draws {
		return Propagation{}, &InputError{What: "Monte Carlo", Why: "cannot have a coverage of " + number(p) + " in " + number(float64(draws)) + " draws",
			Fix: "take 0.95 and a million"}
	}
	mix, err := m.mixing()
	if err != nil {
		return Propagation{}, err
	}
	y := make([]float64, draws)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for {
				i := int(next.Add(1) - 1)
				if i*block >= draws {
					return
				}
				m.draw(y[i*block:min((i+1)*block, draws)], mix, rand.NewPCG(seed, uint64(i)))
			}
		})
	}
	wg.Wait()
	mean, u := moments(y)
	if math.IsNaN(u) || math.IsInf(u, 0) {
		return Propagation{}, &InputError{What: "Monte Carlo", Why: "drew inputs that give no number", Fix: "give closer tolerances"}
	}
	out := Propagation{Draws: draws, Mean: mean, U: u, P: p}
	out.Symmetric, out.Shortest = intervals(y, p)
	return out, nil
}

// moments are the mean and the standard deviation.
func moments(y []float64) (mean, sd float64) {
	for _, v := range y {
		mean += v
	}
	mean /= float64(len(y))
	for _, v := range y {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(len(y)-1))
}

// intervals are the probabilistically symmetric and the shortest coverage interval
// of results (JCGM 101:2008, 7.7).
func intervals(y []float64, p float64) (symmetric, shortest Interval) {
	within := int(p*float64(len(y)) + 0.5)
	beyond := len(y) - within
	// An interval that begins at the r-th lowest ends as many results from the first
	// that may be its end.
	low, high := tails(y, beyond)
	r := (beyond+1)/2 - 1
	symmetric = Interval{low[r], high[r]}
	shortest = symmetric
	for r := range low {
		if high[r]-low[r] < shortest.High-shortest.Low {
			shortest = Interval{low[r], high[r]}
		}
	}
	return symmetric, shortest
}

// tails are the k lowest and the k highest of random numbers, sorted. Only what may
// be among them by the looks of the first block is sorted, as most are not.
func tails(y []float64, k int) (low, high []float64) {
	sample := slices.Clone(y[:min(block, len(y))])
	slices.Sort(sample)
	if reach := int(1.2 * float64(k) / float64(len(y)) * float64(len(sample))); reach < len(sample) {
		below, above := sample[reach], sample[len(sample)-1-reach]
		for _, v := range y {
			if v <= below {
				low = append(low, v)
			}
			if v >= above {
				high = append(high, v)
			}
		}
	}
	if len(low) < k || len(high) < k { // the first block looked otherwise
		low, high = slices.Clone(y), slices.Clone(y)
	}
	slices.Sort(low)
	slices.Sort(high)
	return low[:k], high[len(high)-k:]
}
