package detect

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
)

const (
	leastPartials  = 4    // without which B is not stated
	wornCents      = 3.0  // scatter about the law from which a string is called uneven
	strayCents     = 9.0  // and from which it is no string
	leastExplained = 5.0  // dB of the partials' power over what they leave about their peaks
	leastRing      = 3.0  // periods in which a string may lose the e-th part of its swing
	mostGlide      = 45.0 // cents
	mostWander     = 6.0  // cents that the pitch may stray from a dying pluck's glide
	steadyDecay    = 0.03 // 1/s: what dies more slowly than this is driven
)

// report turns a fit into the numbers and doubts of a pluck.
func (l *listener) report(p *Pluck, f *fit, h hypothesis) {
	var heard []*line
	for _, ln := range f.lines {
		if ln.heard() {
			heard = append(heard, ln)
		}
	}
	slices.SortFunc(heard, func(a, b *line) int { return cmp.Compare(a.n, b.n) })
	energy := 0.0
	var noises []float64
	for _, ln := range heard {
		for _, m := range ln.modes() {
			energy += sq(m.amp) / 2 * -math.Expm1(-2*m.alpha*f.secs) / (2 * m.alpha) * l.rate
		}
		noises = append(noises, ln.noise)
		own := ln.own()
		own.V += f.hz(ln.n) - f.sounding(ln.n) // at rest
		p.Partials = append(p.Partials, Partial{
			N: ln.n, Freq: own,
			LevelDB: 20 * math.Log10(cmplx.Abs(ln.amp)), Decay: ln.alpha, SNRdB: 10 * math.Log10(ln.snr),
			Pulls: (own.V - f.hz(ln.n)) / math.Hypot(own.U, f.tau*ln.hz), Used: true,
		})
	}
	if len(heard) > 0 {
		slices.Sort(noises)
		// Noise of power v in each of n bins has the energy v in n samples.
		p.SNRdB = decibel(energy) - decibel(noises[len(noises)/2])
		p.explained = f.explained(heard)
	}
	f.state(p, len(heard))
	l.question(p, f, heard, h)
	p.Trusted = !slices.ContainsFunc(p.Doubts, func(d Doubt) bool { return d.Fatal })
}

// explained is the power of the partials' models in the few bins about their
// peaks over what the fit leaves there, dB.
func (f *fit) explained(heard []*line) float64 {
	const near = 6
	model, rest := 0.0, 1e-40
	for _, l := range heard {
		c := int(l.hz/f.fr.rate*float64(f.fr.n) + 0.5)
		for _, m := range l.modes() {
			v := f.fr.wave(m)
			for k := max(l.lo, c-near); k < min(l.hi, c+near+1); k++ {
				model += sq(v.at(f.fr.tw[k]))
			}
		}
		for k := max(l.lo, c-near); k < min(l.hi, c+near+1); k++ {
			rest += sq(f.fr.rest[k])
		}
	}
	return decibel(model) - decibel(rest)
}

// state fills in f0, f1, B and the glide, averaging over whether there is a
// glide at all: the two answers weighted by their evidence (Savage–Dickey
// ratio; a glide is never negative).
func (f *fit) state(p *Pluck, heard int) {
	c := f.cov
	g, ug := f.gl.g, math.Sqrt(c.At(2, 2))
	z := g / ug
	bayes := 2 * normalCDF(z) * ug / gSpread * math.Exp(min(z*z/2, 300))
	if g <= 0 {
		bayes = 0
	}
	p1 := bayes / (1 + bayes)
	// With the glide fixed at none the others move by their covariance with it.
	k0, k1 := c.At(0, 2)/c.At(2, 2), c.At(1, 2)/c.At(2, 2)
	lf0, b0 := -k0*g, f.b-k1*g // relative to the fit's own f0
	v00, v01, v11 := c.At(0, 0)-k0*c.At(0, 2), c.At(0, 1)-k0*c.At(1, 2), c.At(1, 1)-k1*c.At(1, 2)
	mix := func(a, b float64) float64 { return p1*a + (1-p1)*b }
	df, db := mix(0, lf0), mix(f.b, b0)
	q := p1 * (1 - p1)
	V00 := mix(c.At(0, 0), v00) + q*lf0*lf0
	V01 := mix(c.At(0, 1), v01) + q*lf0*(b0-f.b)
	V11 := mix(c.At(1, 1), v11) + q*(b0-f.b)*(b0-f.b)

	h := f.hiddenShift()
	V00, V01, V11 = V00+h[0]*h[0], V01+h[0]*h[1], V11+h[1]*h[1]

	b := max(db, 0)
	f0 := f.f0 * math.Exp(df)
	uF1 := math.Sqrt(max(0, V00+V01/(1+b)+V11/(4*(1+b)*(1+b))))
	p.F0 = Value{f0, f0 * math.Sqrt(max(V00, 0))}
	p.F1 = Value{f0 * math.Sqrt(1+b), f0 * uF1}
	p.B = Value{b, math.Sqrt(max(V11, 0))}
	p.BKnown = heard >= leastPartials && p.B.U < bSpread/2
	p.GlideCents = p1 * 1200 / math.Ln2 * max(g, 0)
	if !p.BKnown {
		p.doubt(NoStiffness, false, fmt.Sprintf("only %d partials were heard, too few to measure inharmonicity; its likely size is in the uncertainty", heard))
	}
}

func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// question raises the doubts that a finished fit can raise.
func (l *listener) question(p *Pluck, f *fit, heard []*line, h hypothesis) {
	toCents := 1200 / math.Ln2
	if len(heard) == 0 {
		p.doubt(TooQuiet, true, "nothing stands out of the noise: pluck louder or move closer")
		return
	}
	if p.F0.U/p.F0.V*toCents > 4 {
		p.doubt(TooQuiet, true, "the pluck is too weak or short to say its pitch within some cents")
	}
	switch t := f.tau * toCents; {
	case t > strayCents:
		p.doubt(NotAString, true, fmt.Sprintf("the partials lie %.1f cents off a string's law on average: this is no string, or several", t))
	case t > wornCents:
		p.doubt(Misfit, false, fmt.Sprintf("the partials scatter by %.1f cents about a string's law: worn, uneven or damaged?", t))
	}
	if p.explained < leastExplained {
		p.doubt(NotAString, true, "most of what was heard is no partial of a string")
	}
	if clear := h.clear(); len(heard) < 3*clear/8 {
		p.doubt(NotAString, true, fmt.Sprintf("only %d of %d clear partials keep to one string's law", len(heard), clear))
	}
	decay, total := 0.0, 0.0
	for _, ln := range heard {
		decay += ln.alpha * ln.snr
		total += ln.snr
	}
	decay /= total
	if decay < steadyDecay {
		p.doubt(NotAString, true, "the sound does not die away as a plucked string's does")
	}
	low := 0.0 // decay of the lowest partials, which hold the string's stretch
	weight := 0.0
	for _, ln := range heard {
		w := math.Pow(float64(ln.n), -4)
		low += w * ln.alpha
		weight += w
	}
	low /= weight
	if f.f0 < leastRing*low {
		p.doubt(TooShort, true, "the string was damped almost at once: let it ring")
	}
	rest, gl, _ := f.bend.glide()
	worst, noise := f.bend.wander(rest, gl)
	switch {
	case worst*toCents > mostWander && worst > 5*noise:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch wanders by %.0f cents: is it still being tuned, or bent?", worst*toCents))
	case p.GlideCents > mostGlide:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch falls by %.0f cents, more than a pluck makes it: is it still being tuned, or bent?", p.GlideCents))
	case f.gl.g*toCents > mostWander && f.gl.alpha < 0.25*low:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch falls by %.0f cents more slowly than the sound dies: is it still being tuned?", f.gl.g*toCents))
	}
}
