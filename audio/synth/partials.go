package synth

import (
	"math"
	"slices"
)

// truthOf returns what a pluck of the string sounds like at the pickup, in the
// pickup's own unit. The indices tell plucks and strings apart where phases and
// unevenness are drawn.
func (t Take) truthOf(s String, p Pluck, ramp float64, pluck, body int) PluckTruth {
	g := p.Glide(s)
	alpha := s.Decay.Rate(s.Partial(1))
	truth := PluckTruth{
		At:         p.At,
		Until:      t.Seconds,
		GlideCents: 1200 * math.Log2(1+g),
		GlideDecay: 2 * alpha,
		warp:       newWarp(p.At, g, alpha, ramp),
	}
	limit := t.Rate / 2 / truth.warp.fastest(t.Seconds-p.At)
	count := t.countBelow(s, limit)
	deflection := p.Deflection(s, count)
	phases, stray := t.random(usePhases, pluck), t.random(useUneven, body)
	for n := 1; n <= count; n++ {
		f := s.Partial(n) * math.Exp2(s.Uneven*stray.NormFloat64()/1200)
		q := Partial{N: n, Freq: f, Amp: deflection[n-1], Decay: s.Decay.Rate(f)}
		for _, q := range [2]Partial{q, s.Second.of(q)} {
			q = t.Pickup.hear(s, q)
			if t.RandomPhases {
				q.Phase = 2 * math.Pi * phases.Float64()
			}
			if q.Amp > 0 && q.Freq < limit && !slices.Contains(t.Omit, n) {
				truth.Partials = append(truth.Partials, q)
			}
		}
	}
	return truth
}

// countBelow counts the partials of the law below limit hertz.
func (t Take) countBelow(s String, limit float64) int {
	n := 0
	for (t.MaxPartials == 0 || n < t.MaxPartials) && s.Partial(n+1) < limit {
		n++
	}
	return n
}

// of returns the second polarisation of a partial.
func (p Polarization) of(q Partial) Partial {
	q.Polarization = 1
	q.Amp *= p.Share
	q.Freq *= math.Exp2(p.Cents / 1200)
	if p.Decay > 0 {
		q.Decay *= p.Decay
	}
	return q
}

// hear turns a mode's initial deflection into amplitude and phase of the signal.
// A mode released from rest moves as a·exp(−αt)·(cos ωt + (α/ω) sin ωt), its
// velocity is −a·(ω²+α²)/ω·exp(−αt) sin ωt.
func (p Pickup) hear(s String, q Partial) Partial {
	w := 2 * math.Pi * q.Freq
	f := s.form(q.N)
	switch p.Senses {
	case Velocity:
		q.Amp *= f.at(p.At) * (w*w + q.Decay*q.Decay) / w
		q.Phase = math.Pi / 2
	case Displacement:
		q.Amp *= f.at(p.At) * math.Hypot(1, q.Decay/w)
		q.Phase = -math.Atan2(q.Decay, w)
	case BridgeForce:
		q.Amp *= s.Tension / s.Length * f.bridge(s.B()) * math.Hypot(1, q.Decay/w)
		q.Phase = -math.Atan2(q.Decay, w)
	}
	if q.Amp < 0 {
		q.Amp, q.Phase = -q.Amp, q.Phase+math.Pi
	}
	return q
}

// modes returns the partials as what is rendered.
func (p PluckTruth) modes() []mode {
	modes := make([]mode, len(p.Partials))
	for i, q := range p.Partials {
		modes[i] = mode{2 * math.Pi * q.Freq, q.Decay, q.Amp, q.Phase}
	}
	return modes
}
