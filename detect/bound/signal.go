package bound

import (
	"errors"
	"fmt"
	"math"
)

// A Signal is one pluck of a stiff string in white noise. Its samples are the
// noise and, t seconds after the onset, the sum over the partials of
//
//	Amp·exp(−Decay·t)·cos(2π·f_n·W(t) + Phase),  f_n = N·F0·√(1 + B·N²),
//	W(t) = t + Glide·(1 − exp(−GlideDecay·t))/GlideDecay
//
// so that every partial sounds at f_n·(1 + Glide·exp(−GlideDecay·t)).
type Signal struct {
	F0         float64 // Hz
	B          float64
	Partials   []Partial
	Glide      float64 // relative rise of the pitch at the onset
	GlideDecay float64 // 1/s, positive; taken as known
	Rate       float64 // Hz, sample rate
	Sigma      float64 // standard deviation of the noise
}

// A Partial is one damped sinusoid. Its number N is at least 1 and none other's.
type Partial struct {
	N          int
	Amp, Phase float64 // at the onset; rad
	Decay      float64 // 1/s, of the amplitude
}

// hz is the frequency of partial n at rest.
func (s Signal) hz(n int) float64 {
	k := float64(n)
	return k * s.F0 * math.Sqrt(1+s.B*k*k)
}

// warp is W(t), and glided its derivative by Glide.
func (s Signal) warp(t float64) (warp, glided float64) {
	glided = -math.Expm1(-s.GlideDecay*t) / s.GlideDecay
	return t + s.Glide*glided, glided
}

// validate says what is wrong with the signal, or returns nil.
func (s Signal) validate() error {
	positive := func(name string, v float64) error {
		if v > 0 && !math.IsInf(v, 0) {
			return nil
		}
		return fmt.Errorf("bound: %s must be positive and finite, is %g", name, v)
	}
	err := errors.Join(positive("f0 (Hz)", s.F0), positive("glide decay (1/s)", s.GlideDecay),
		positive("sample rate (Hz)", s.Rate), positive("noise", s.Sigma))
	if !(s.B >= 0 && s.B <= 1) {
		err = errors.Join(err, fmt.Errorf("bound: inharmonicity must lie within 0 and 1, is %g", s.B))
	}
	if !(math.Abs(s.Glide) < 1) {
		err = errors.Join(err, fmt.Errorf("bound: glide must lie within -1 and 1, is %g", s.Glide))
	}
	seen := map[int]bool{}
	for _, p := range s.Partials {
		name := fmt.Sprintf("partial %d", p.N)
		if p.N < 1 || seen[p.N] {
			err = errors.Join(err, fmt.Errorf("bound: %s: numbers must be positive and occur once", name))
		}
		seen[p.N] = true
		err = errors.Join(err, positive(name+" amplitude", p.Amp))
		if !(p.Decay >= 0 && p.Decay < math.Inf(1)) || !(math.Abs(p.Phase) < math.Inf(1)) {
			err = errors.Join(err, fmt.Errorf("bound: %s: decay %g or phase %g is out of range", name, p.Decay, p.Phase))
		}
		if top := s.hz(p.N) * (1 + max(0, s.Glide)); !(top < s.Rate/2) {
			err = errors.Join(err, fmt.Errorf("bound: %s reaches %g Hz, beyond half the sample rate", name, top))
		}
	}
	return err
}
