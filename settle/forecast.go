package settle

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Sure is the probability from which on something is said to be so.
const Sure = 0.95

// A Verdict is whether a pitch will stay within a tolerance.
type Verdict int

// The verdicts.
const (
	CannotTell Verdict = iota
	Yes
	NotYet
)

// A Forecast is whether the pitch will stay within a tolerance of where it is, from the
// last reading on for a while, at the same temperature and if it does not step.
type Forecast struct {
	Tolerance float64 // cents
	Ahead     float64 // s
	Verdict   Verdict
	// Holds is the probability that it does.
	Holds float64
	Move  Estimate // by how much it will have moved at the end, cents
	// Wait is how long it takes until it will: the median, and what holds 95 %; the upper
	// end may be infinite. It is zero but for NotYet.
	Wait Estimate
	// WaitTold tells that this is known well enough to be of use.
	WaitTold bool
	// TooShort tells that the readings span too little time for so long a forecast.
	TooShort bool
}

// farthest is how many times as long as the readings a forecast may reach (common
// practice, no source): what has not had the time to show cannot be foretold.
const farthest = 3

// drawn is how many possible courses are looked at; what is told is good to half a per
// cent.
const drawn = 10000

// Foretell says whether the pitch will stay within so many cents for so many seconds
// after the last reading: over all laws, all that their parameters may be, and what a
// pitch scatters by anyhow.
func (c *Course) Foretell(tolerance, ahead float64) Forecast {
	f := Forecast{Tolerance: tolerance, Ahead: ahead}
	span := c.fitter.span
	if ahead > farthest*span {
		f.TooShort = true
		f.Holds, f.Move = math.NaN(), unknown
		return f
	}
	random := rand.New(rand.NewPCG(1, 2)) // the same answer each time it is asked
	student := c.student()
	student.Src = random
	moves, waits := make([]float64, drawn), make([]float64, drawn)
	holds := 0
	upTo := make([]float64, len(c.parts))
	sum := 0.0
	for i, p := range c.parts {
		sum += p.weight
		upTo[i] = sum
	}
	for i := range drawn {
		k, _ := slices.BinarySearch(upTo, random.Float64()*sum)
		s := &c.parts[min(k, len(c.parts)-1)].solution
		b := s.b
		if s.bb > 0 {
			b += math.Sqrt(s.bb*c.wider) * student.Rand()
		}
		move := b * s.law.change(1, ahead/span, s.tau)
		if math.Abs(move+c.Scatter*random.NormFloat64()) <= tolerance {
			holds++
		}
		moves[i], waits[i] = move, span*s.law.wait(1, ahead/span, s.tau, b, tolerance)
	}
	slices.Sort(moves)
	slices.Sort(waits)
	f.Holds = float64(holds) / drawn
	f.Move = quantiles(moves)
	switch {
	case f.Holds >= Sure:
		f.Verdict = Yes
	case f.Holds <= 1-Sure && !c.Straight: // what may slow down might hold after all
		f.Verdict = NotYet
		f.Wait = quantiles(waits)
		// A median is of use where the truth is hardly more than a few times that.
		f.WaitTold = !math.IsInf(f.Wait.High, 1) && f.Wait.High <= 4*f.Wait.Value && 4*f.Wait.Low >= f.Wait.Value
	}
	return f
}

// quantiles is the estimate from draws in order of size.
func quantiles(x []float64) Estimate {
	at := func(q float64) float64 { return x[int(q*float64(len(x)-1))] }
	e := Estimate{Value: at(0.5), Low: at(0.025), High: at(0.975)}
	e.U = (e.High - e.Low) / 4
	return e
}
