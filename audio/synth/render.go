package synth

import (
	"errors"
	"math"
	"math/rand/v2"
)

const (
	// stopTime is how long a finger takes to stop the string before the next
	// pluck: a raised cosine that ends at the onset.
	stopTime = 0.005
	// dampRate is the decay rate, 1/s, that a hand adds to all partials.
	dampRate = 60
)

// Uses of random numbers. Each draws from a stream of its own, so that
// switching one thing on does not change another.
const (
	usePhases = iota
	useUneven
	useAttack
	useHum
	useNoise
)

func (t Take) random(use, index int) *rand.Rand {
	return rand.New(rand.NewPCG(t.Seed, uint64(use)<<32|uint64(index)))
}

var errSilent = errors.New("synth: nothing of the string reaches the pickup: " +
	"move the pickup or the pluck, or let more partials ring")

// Render returns the samples of the take, and the truth about them. A pluck
// stops what rang of the string before: it fades to nothing within the 5 ms
// before the onset. After Damp the string loses all partials at 60/s on top of
// their own decay, until plucked again. Partials that would reach the Nyquist
// frequency at any time are left out, so nothing is aliased but by Clip.
//
// The error says what is wrong with the take, see Validate.
func (t Take) Render() ([]float64, Truth, error) {
	if err := t.Validate(); err != nil {
		return nil, Truth{}, err
	}
	dst := make([]float64, t.samples())
	truth := Truth{F0: t.String.F0(), F1: t.String.bare().Partial(1), B: t.String.B()}
	for i := range t.Plucks {
		p := t.truthOf(t.String, t.Plucks[i], t.Ramp, i, 0)
		p.Until = t.end(i)
		t.ring(dst, i, p)
		truth.Plucks = append(truth.Plucks, p)
	}
	filter := t.HighPass.design(t.Rate)
	filter.run(dst)
	gain, ok := scaleToPeak(dst, fromDB(t.Level))
	if !ok && len(t.Plucks) > 0 {
		return nil, Truth{}, errSilent
	}
	t.record(&truth, filter, gain)
	power := t.powerAfterOnset(dst)

	if err := t.addNeighbors(dst, filter); err != nil {
		return nil, Truth{}, err
	}
	t.addAttacks(dst, filter)
	t.addHum(dst)
	t.addNoise(dst, power, &truth)
	t.limit(dst)
	return dst, truth, nil
}

func (t Take) samples() int { return int(math.Round(t.Rate * t.Seconds)) }

// firstSample is the index of the first sample at or after s seconds.
func (t Take) firstSample(s float64) int {
	return int(min(math.Ceil(s*t.Rate), float64(t.samples())))
}

// end returns when pluck i begins to be stopped, in seconds.
func (t Take) end(i int) float64 {
	end := t.Seconds
	if i+1 < len(t.Plucks) {
		end = t.Plucks[i+1].At - stopTime
	}
	if t.Damp > t.Plucks[i].At {
		end = min(end, t.Damp)
	}
	return end
}

// ring adds pluck i to dst, with its end.
func (t Take) ring(dst []float64, i int, p PluckTruth) {
	from, to := t.firstSample(p.At), len(dst)
	if i+1 < len(t.Plucks) {
		to = t.firstSample(t.Plucks[i+1].At)
	}
	addModes(dst[from:to], t.Rate, float64(from)/t.Rate-p.At, p.modes(), p.warp)
	if t.Damp > p.At {
		for k := t.firstSample(t.Damp); k < to; k++ {
			dst[k] *= math.Exp(-dampRate * (float64(k)/t.Rate - t.Damp))
		}
	}
	if i+1 < len(t.Plucks) {
		next := t.Plucks[i+1].At
		for k := t.firstSample(next - stopTime); k < to; k++ {
			dst[k] *= 0.5 - 0.5*math.Cos(math.Pi*(next-float64(k)/t.Rate)/stopTime)
		}
	}
}
