package synth

import (
	"fmt"
	"math"
	"math/cmplx"
)

// fromDB returns the amplitude ratio of a level in decibels.
func fromDB(db float64) float64 { return math.Pow(10, db/20) }

// scaleToPeak scales x to a peak and returns the factor; silence has none.
func scaleToPeak(x []float64, peak float64) (gain float64, ok bool) {
	var most float64
	for _, v := range x {
		most = max(most, math.Abs(v))
	}
	if most == 0 {
		return 0, false
	}
	gain = peak / most
	for i := range x {
		x[i] *= gain
	}
	return gain, true
}

func add(dst, x []float64) {
	for i, v := range x {
		dst[i] += v
	}
}

// record carries the high-pass and the gain into the truth about the partials.
// A damped sinusoid z^k passes a filter, once it has settled, as H(z)·z^k.
func (t Take) record(truth *Truth, f filter, gain float64) {
	for _, p := range truth.Plucks {
		for i := range p.Partials {
			q := &p.Partials[i]
			h := f.response(cmplx.Exp(complex(-q.Decay/t.Rate, 2*math.Pi*q.Freq/t.Rate)))
			q.Amp *= gain * cmplx.Abs(h)
			q.Phase += cmplx.Phase(h)
		}
	}
}

func (t Take) addNeighbors(dst []float64, f filter) error {
	for i, nb := range t.Neighbors {
		own := t
		own.Omit = nil
		p := own.truthOf(nb.String, nb.Pluck, 0, len(t.Plucks)+i, 1+i)
		from := t.firstSample(p.At)
		x := make([]float64, len(dst))
		addModes(x[from:], t.Rate, float64(from)/t.Rate-p.At, p.modes(), p.warp)
		f.run(x)
		if _, ok := scaleToPeak(x, fromDB(t.Level+nb.Level)); !ok {
			return fmt.Errorf("neighbor %d: %w", i+1, errSilent)
		}
		add(dst, x)
	}
	return nil
}

func (t Take) addAttacks(dst []float64, f filter) {
	if t.Attack.Seconds == 0 {
		return
	}
	x := make([]float64, len(dst))
	r := t.random(useAttack, 0)
	rms := fromDB(t.Level + t.Attack.Level)
	for _, p := range t.Plucks {
		for k := t.firstSample(p.At); k < len(x); k++ {
			nepers := (float64(k)/t.Rate - p.At) / t.Attack.Seconds
			if nepers > spent {
				break
			}
			x[k] += rms * math.Exp(-nepers) * r.NormFloat64()
		}
	}
	f.run(x)
	add(dst, x)
}

func (t Take) addHum(dst []float64) {
	r := t.random(useHum, 0)
	var modes []mode
	for k := 1; k <= t.Hum.Harmonics; k++ {
		phase := 2 * math.Pi * r.Float64()
		if f := float64(k) * t.Hum.Freq; f < t.Rate/2 {
			modes = append(modes, mode{2 * math.Pi * f, 0, fromDB(t.Hum.Level) / float64(k), phase})
		}
	}
	addModes(dst, t.Rate, 0, modes, newWarp(0, 0, 0, 0))
}

// limit clips and quantises.
func (t Take) limit(x []float64) {
	if t.Clip > 0 {
		for i, v := range x {
			x[i] = max(-t.Clip, min(v, t.Clip))
		}
	}
	if t.Bits > 0 {
		steps := math.Ldexp(1, t.Bits-1)
		for i, v := range x {
			x[i] = max(-steps, min(math.RoundToEven(v*steps), steps-1)) / steps
		}
	}
}
