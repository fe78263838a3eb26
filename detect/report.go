package detect

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
)

const (
	leastPartials  = 4     // without which B is not stated
	wornCents      = 3.0   // scatter about the law from which a string is called uneven
	strayCents     = 9.0   // and from which it is no string
	farCents       = 300.0 // from the note expected to what was heard, from which that is said
	leastExplained = 5.0   // dB of the partials' power over what they leave about their peaks
	leastRing      = 3.0   // periods in which a string may lose the e-th part of its swing
	mostGlide      = 45.0  // cents
	mostWander     = 5.0   // cents that the pitch may stray from a dying pluck's glide
	mostDrift      = 5.2   // cents that it may move besides while it is heard, which its uncertainty then counts
	strayNoise     = 5.0   // standard deviations of noise that it may stray by chance
	strayGlide     = 0.03  // of a glide, by which short frames may misread it: what moves beyond the fit is watched for in motion.go
	steadyDecay    = 0.08  // 1/s: what dies more slowly than this is driven
)

// report turns what can be told of a pluck into its numbers and doubts.
func (l *listener) report(p *Pluck, ts []telling, h hypothesis) {
	f := ts[0].fit
	heard := f.heard()
	energy := 0.0
	var noises []float64
	for _, ln := range heard {
		for _, m := range ln.modes() {
			energy += sq(m.amp) / 2 * -math.Expm1(-2*m.alpha*f.secs) / (2 * m.alpha) * l.rate
		}
		noises = append(noises, ln.noise)
		own := ln.own()
		if math.IsInf(own.U, 1) {
			continue // it stands out, and tells nothing of its frequency
		}
		own.V += f.hz(ln.n) - f.sounding(ln.n) // at rest
		p.Partials = append(p.Partials, Partial{
			N: ln.n, Freq: own,
			LevelDB: 20 * math.Log10(cmplx.Abs(ln.amp)), Decay: ln.alpha, SNRdB: 10 * math.Log10(ln.snr),
			Pulls: (own.V - f.hz(ln.n)) / math.Hypot(own.U, f.tau*ln.hz), Used: true,
		})
	}
	if len(heard) > 0 {
		slices.Sort(noises)
		// Noise of power v in each of n bins has the energy v in n samples, and so many
		// times that at the rate before it was lowered.
		p.SNRdB = decibel(energy) - decibel(noises[len(noises)/2]) - decibel(float64(l.factor))
		p.explained = f.explained(heard)
	}
	p.conclude(ts, len(heard))
	p.watch(f)
	l.question(p, f, heard, h)
	if l.mass == nil {
		l.later(p, f)
	}
	p.unsettle(l, f)
	if l.mass != nil {
		p.concludeLoad(l, ts)
		l.steadyLoad(p, f, h)
	}
	p.Trusted = !slices.ContainsFunc(p.Doubts, func(d Doubt) bool { return d.Fatal })
}

// heard lists the partials that can be believed, by their number.
func (f *fit) heard() []*line {
	var heard []*line
	for _, ln := range f.lines {
		if ln.heard() {
			heard = append(heard, ln)
		}
	}
	slices.SortFunc(heard, func(a, b *line) int { return cmp.Compare(a.n, b.n) })
	return heard
}

// explained is the power of the partials' models in the few bins about their
// peaks over what the fit leaves there, dB.
func (f *fit) explained(heard []*line) float64 {
	model, rest := 0.0, 1e-40
	for _, l := range heard {
		lo, hi := f.fr.around(l, 6)
		for _, m := range l.modes() {
			model += f.fr.energy(m, lo, hi)
		}
		rest += sumSquares(f.fr.rest[lo:hi])
	}
	return decibel(model) - decibel(rest)
}

// still is how (ln f0, B, g) move from the fit's, and their covariance, averaged
// over whether the pitch has a slope at all (Savage–Dickey ratio, for a slope's
// being rare). A string at rest has none; what one there is makes f0 uncertain by
// the way it went.
func (f *fit) still() (move [3]float64, v [3][3]float64) {
	const rare = 0.05
	c := f.cov
	slope := f.slope()
	s, z := slope.V, slope.V/slope.U
	odds := rare * slope.U / sSpread * math.Exp(min(z*z/2, 300))
	p1 := odds / (1 + odds)
	for i := range v {
		ki := c.At(i, 4) / c.At(4, 4)
		move[i] = -(1 - p1) * ki * s
		for j := range v {
			kj := c.At(j, 4) / c.At(4, 4)
			v[i][j] = c.At(i, j) - (1-p1)*ki*c.At(4, j) + p1*(1-p1)*ki*s*kj*s
		}
	}
	way := p1 * s * f.span()
	v[0][0] += way * way / 12
	// What it strays beyond noise, by a vibrato or a hand that moves, likewise.
	worst, noise := f.wander()
	stray := max(0, worst-strayNoise*noise-strayGlide*math.Abs(f.gl.g))
	if stray > 0 && len(f.seconds()) > 0 && excess(f.bends()) < clearBend {
		stray = 0 // the partials would show it
	}
	v[0][0] += stray * stray / 6
	return move, v
}

// wander is how far the pitch strays from a glide, as bend.wander tells it.
func (f *fit) wander() (worst, noise float64) {
	rest, gl, _ := f.bend.glide(slowGlide, fastGlide, false)
	return f.bend.wander(rest, gl)
}

// oddGlide tells whether what was taken for a glide may be the pitch's moving
// otherwise: it dies at another rate than the string, or rises, or there is a slope
// in the pitch over time.
func (f *fit) oddGlide() bool {
	low := f.lowDecay()
	if low == 0 {
		return false
	}
	_, gl, _ := f.bend.glide(low/glideTie, low*glideTie, true)
	off := math.Abs(math.Log(f.gl.alpha/low)) > max(math.Log(1.2), 2*math.Sqrt(f.cov.At(3, 3)))
	return gl.slope != 0 || f.gl.g < -0.3*cent || f.gl.g > 0.5*cent && off
}

// span is the time over which the pitch was heard, s: the window, or what the
// lowest partials' decay leaves of it.
func (f *fit) span() float64 {
	if low := f.lowDecay(); low > 0 {
		return min(f.secs, 2/low)
	}
	return f.secs
}

func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// question raises the doubts that a finished fit can raise.
func (l *listener) question(p *Pluck, f *fit, heard []*line, h hypothesis) {
	if len(heard) == 0 {
		p.doubt(TooQuiet, true, "nothing stands out of the noise: pluck louder or move closer")
		return
	}
	if p.F0.U/p.F0.V/cent > 4 {
		p.doubt(TooQuiet, true, "the pluck is too weak or short to say its pitch within some cents")
	}
	if near := l.opts.Near; near > 0 && math.Abs(cents(p.F1.V, near)) > farCents {
		p.doubt(NotExpected, false, fmt.Sprintf("%.5g Hz was heard, not the note you named at %.5g Hz: is it another string, or a harmonic?", p.F1.V, near))
	}
	switch t := f.tau / cent; {
	case t > strayCents:
		p.doubt(NotAString, true, fmt.Sprintf("the partials lie %.1f cents off a string's law on average: this is no string, or several", t))
	case t > wornCents:
		p.doubt(Misfit, false, fmt.Sprintf("the partials scatter by %.1f cents about a string's law: worn, uneven or damaged?", t))
	}
	if p.explained < leastExplained {
		p.doubt(NotAString, true, "most of what was heard is no partial of a string")
	}
	clear := h.clear()
	p.kept = float64(len(heard)) / float64(max(clear, 1))
	if len(heard) < 3*clear/8 {
		p.doubt(NotAString, true, fmt.Sprintf("only %d of %d clear partials keep to one string's law", len(heard), clear))
	}
	switch m, _ := f.shared(); {
	case m == 2 && f.burden.there():
		p.doubt(Misfit, true, "odd and even partials keep to no one law of a string with a clip: let it be short, low and firm, and damp the other strings")
	case m > 0:
		p.doubt(TwoStrings, true, fmt.Sprintf("every %s partial is shared with another string near %.4g Hz: damp all but one", ordinals[m], f.hz(m)))
	}
	decay, total := 0.0, 0.0
	for _, ln := range heard {
		decay += ln.alpha * ln.snr
		total += ln.snr
	}
	decay /= total
	switch {
	case Mains(p.F0.V, 0, 2) && math.Abs(p.B.V) < leastB+3*p.B.U:
		p.doubt(Hum, true, fmt.Sprintf("what is heard lies at %.4g Hz and its exact multiples, as mains hum does: move away from mains leads, or pluck louder", p.F0.V))
	case min(decay, p.fall) < steadyDecay && Mains(heard[0].hz, 0.5/f.secs, mainsTop):
		p.doubt(Hum, true, fmt.Sprintf("what is heard is mains hum at %.4g Hz: move away from mains leads, or pluck louder", heard[0].hz))
	case min(decay, p.fall) < steadyDecay:
		p.doubt(NotAString, true, "the sound does not die away as a plucked string's does")
	case p.faded && p.harmonic(f):
		p.doubt(NotAString, true, "all partials fade as one and lie at exact multiples: this is an organ or an oscillator, no string")
	case f.hums():
		p.doubt(Hum, false, "mains hum was heard beside the string and left out")
	}
	low := f.lowDecay()
	if f.f0 < leastRing*low {
		p.doubt(TooShort, true, "the string was damped almost at once: let it ring")
	}
	slope := f.slope()
	way := slope.V * f.span() / cent
	worst, noise := f.wander()
	p.sloping = math.Abs(way) > mostDrift && math.Abs(slope.V) > 5*slope.U
	switch {
	case p.sloping:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch moves by %+.1f cents a second: is it still being tuned?", slope.V/cent))
	case worst/cent > mostWander && worst > 5*noise:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch wanders by %.0f cents: is it still being tuned, or bent?", worst/cent))
	case p.GlideCents > mostGlide:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch falls by %.0f cents, more than a pluck makes it: is it still being tuned, or bent?", p.GlideCents))
	case p.stray/cent > mostStray:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch wavers by %.1f cents about its fall: is it still being tuned, or bent?", p.stray/cent))
	case math.Abs(p.alien)/cent > mostAlien:
		p.doubt(Unsteady, true, fmt.Sprintf("the pitch moves by %.0f cents, and not as a dying string's does: is it still being tuned, or bent?", math.Abs(f.gl.g)/cent))
	}
}

var ordinals = [...]string{2: "second", 3: "third", 4: "fourth", 5: "fifth"}
