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
	sortAll(y, make([]float64, draws), runtime.GOMAXPROCS(0))
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
// of sorted results (JCGM 101:2008, 7.7).
func intervals(y []float64, p float64) (symmetric, shortest Interval) {
	m := len(y)
	q := int(p*float64(m) + 0.5)
	r := (m - q + 1) / 2
	symmetric = Interval{y[r-1], y[r-1+q]}
	shortest = symmetric
	for r := range m - q {
		if y[r+q]-y[r] < shortest.High-shortest.Low {
			shortest = Interval{y[r], y[r+q]}
		}
	}
	return symmetric, shortest
}

// sortAll sorts y on so many processors; tmp is as long.
func sortAll(y, tmp []float64, processors int) {
	if processors < 2 || len(y) < block {
		slices.Sort(y)
		return
	}
	half := len(y) / 2
	var wg sync.WaitGroup
	wg.Go(func() { sortAll(y[:half], tmp[:half], processors/2) })
	sortAll(y[half:], tmp[half:], processors-processors/2)
	wg.Wait()
	copy(tmp, y)
	a, b := tmp[:half], tmp[half:]
	for i := range y {
		if len(b) == 0 || len(a) > 0 && a[0] <= b[0] {
			y[i], a = a[0], a[1:]
		} else {
			y[i], b = b[0], b[1:]
		}
	}
}
