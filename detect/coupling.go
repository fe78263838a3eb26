package detect

import (
	"math"
	"math/cmplx"
)

// none is the prior standard deviation of what is not there.
const none = 1e-12

// A coupling ties a second mode to every partial: the string's other direction of
// vibration. Seen through the same ends and plucked at the same place, it is off by
// one relative split, in one ratio of amplitudes, and dies at rates in one
// proportion, in all partials. Too close to be told apart in any single one, it may
// still show in all together.
type coupling struct {
	split float64 // relative difference of frequency
	ratio float64 // of amplitudes at the pluck, negative where they are opposed
	decay float64 // ln of the ratio of decays
	late  float64 // s from the pluck, when both begin as one, to the window
	free  bool    // whether the ratio is each line's own altogether
}

const (
	splitSpread = 0.001 // prior standard deviations: of the split, 1.7 cents,
	decaySpread = 0.25  // of the decay,
	likelyRatio = 0.35
	ratioSpread = 0.25 // of the ratio about the likely one,
	aligned     = 0.01 // of each part of a line's departure from it, over it, where both directions start at once,
	crossed     = 0.3  // and of each part of a line's own where their phases differ
	leastRatio  = 0.1

	mostRatio, mostDecay, mostLapse = 1.5, 1.5, 0.5

	lateSpread = 0.0015 // s, prior standard deviation of the time since the pluck
)

// priors are those of split, ratio, decay and late, of which likely is the likely one.
func (c *coupling) priors(likely float64) (split, ratio, decay, late prior) {
	split, ratio, decay = prior{-c.split, splitSpread}, prior{likelyRatio - c.ratio, ratioSpread}, prior{-c.decay, decaySpread}
	late = prior{likely - c.late, lateSpread}
	if c.free {
		ratio, late = prior{-c.ratio, none}, prior{-c.late, none}
	}
	return split, ratio, decay, late
}

// move changes what couples the modes.
func (c *coupling) move(split, ratio, decay, late float64) {
	c.split += split
	c.ratio = min(max(c.ratio+ratio, -mostRatio), mostRatio)
	c.decay = min(max(c.decay+decay, -mostDecay), mostDecay)
	c.late = min(max(c.late+late, 0), mostLapse)
}

// spread is the prior standard deviation of each part of a line's eps. It goes with
// the ratio, so that it is nothing to the likelihood which mode is called the first.
func (c *coupling) spread() float64 {
	if c.free {
		return crossed
	}
	return aligned * max(math.Abs(c.ratio), leastRatio)
}

// of is the ratio of amplitudes in a line at the pluck.
func (c *coupling) of(l *line) complex128 { return complex(c.ratio, 0) + l.eps }

// apart is at what rate the second mode of a line parts from the first.
func (c *coupling) apart(l *line) complex128 {
	return complex(-l.alpha*math.Expm1(c.decay), 2*math.Pi*l.hz*c.split)
}

// grown is what has become of the ratio when the window begins, over what it was at
// the pluck.
func (c *coupling) grown(l *line) complex128 {
	if c.late == 0 {
		return 1
	}
	return cmplx.Exp(c.apart(l) * complex(c.late, 0))
}

// mode is the second mode of a line.
func (c *coupling) mode(l *line) mode {
	return mode{l.hz * (1 + c.split), l.alpha * math.Exp(c.decay), l.amp * c.of(l) * c.grown(l)}
}

// columns adds the second mode's derivatives, two, to those of a line's own
// parameters, cols, and sets those of eps and of what couples the modes. It returns the
// derivative by the frequency that the line shares with all, of which the first mode's is
// hz.
func (c *coupling) columns(l *line, cols *[all]form, hz form, two columns) form {
	grown := c.grown(l)
	q, k := c.of(l)*grown, math.Exp(c.decay)
	scaled := two.reAmp.times(l.amp * q) // how the second mode goes with its logarithm
	late := scaled.times(complex(c.late, 0))
	cols[0] = cols[0].plus(two.reAmp.times(q))
	cols[1] = cols[1].plus(two.imAmp.times(q))
	cols[2] = cols[2].plus(two.alpha.times(complex(k, 0))).plus(late.times(complex(1-k, 0)))
	cols[3] = two.reAmp.times(l.amp * grown)
	cols[4] = cols[3].times(1i)
	const at = coupled + common
	cols[at] = two.hz.times(complex(l.hz, 0)).plus(late.times(complex(0, 2*math.Pi*l.hz)))
	cols[at+1] = cols[3]
	cols[at+2] = two.alpha.plus(late.times(-1)).times(complex(k*l.alpha, 0))
	cols[at+3] = scaled.times(c.apart(l))
	return hz.plus(two.hz.times(complex(1+c.split, 0))).plus(late.times(complex(0, 2*math.Pi*c.split)))
}

// couple makes coupled pairs of all lines, the centre of each kept where it is.
func (f *fit) couple(c coupling) {
	if !c.free {
		c.late = f.late
	}
	f.pair = &c
	for _, l := range f.lines {
		if l.twin.on {
			l.amp += l.twin.amp
			l.twin.on = false
		}
		l.pair = f.pair
		l.amp /= 1 + complex(c.ratio, 0)*c.grown(l)
	}
	f.f0 *= 1 - c.split*c.ratio/(1+c.ratio)
	for i, p := range [...]float64{splitSpread, ratioSpread, decaySpread, lateSpread} {
		f.cov.SetSym(common+1+i, common+1+i, p*p)
	}
	f.tau /= 2 // a good part of the scatter may be the pairs'
	f.residual(true)
}

// align gives all lines the ratio that they have in the mean.
func (f *fit) align() {
	c := f.pair
	c.free, c.late = false, f.late
	for _, l := range f.lines {
		l.eps /= c.grown(l)
	}
	sum, weight := 0.0, 0.0
	for _, l := range f.used() {
		sum += l.snr * real(l.eps)
		weight += l.snr
	}
	if weight > 0 {
		c.ratio = sum / weight
	}
	for _, l := range f.lines {
		l.eps -= complex(c.ratio, 0)
	}
	f.residual(true)
}

// loosen gives every line a ratio of its own.
func (f *fit) loosen() {
	c := f.pair
	for _, l := range f.lines {
		l.eps = c.of(l) * c.grown(l)
	}
	c.ratio, c.late, c.free = 0, 0, true
	f.residual(true)
}

// mirror puts the second mode as far on the other side of the first, its decay
// likewise, the centre of both kept: to second order in time that sounds the same.
func (f *fit) mirror() {
	c := f.pair
	p, k := c.ratio/(1+c.ratio), math.Exp(c.decay)
	f.f0 *= 1 + 2*c.split*p
	c.split, c.decay = -c.split, -c.decay
	for _, l := range f.lines {
		l.alpha *= (1 + p*(k-1)) / (1 + p*(1/k-1))
	}
	f.residual(true)
}

// turn puts the second mode as far on the other side of the first, dying as it does, the
// centre kept: a glide may take what that sounds otherwise.
func (f *fit) turn() {
	c := f.pair
	f.f0 *= 1 + 2*c.split*c.ratio/(1+c.ratio)
	c.split = -c.split
	f.residual(true)
}

// swap makes the second mode of every line the first.
func (f *fit) swap() {
	c := f.pair
	old := *c
	c.split, c.decay = -old.split/(1+old.split), -old.decay
	if !c.free {
		c.ratio = 1 / old.ratio
	}
	f.f0 *= 1 + old.split
	for _, l := range f.lines {
		q := old.of(l)
		l.amp *= q * old.grown(l)
		l.alpha *= math.Exp(old.decay)
		if q != 0 {
			l.eps = 1/q - complex(c.ratio, 0)
		}
	}
	f.residual(true)
}

// weaken gives the second mode another ratio, further off where that is less: the
// centre of both is kept, and how far they spread about it.
func (f *fit) weaken(ratio float64) {
	c := f.pair
	p, q, k := c.ratio/(1+c.ratio), ratio/(1+ratio), math.Exp(c.decay)
	split := c.split * math.Sqrt(p*(1-p)/(q*(1-q)))
	f.f0 *= 1 + c.split*p - split*q
	for _, l := range f.lines {
		l.amp *= 1 + complex(c.ratio, 0)*c.grown(l)
		l.alpha *= (1 + p*(k-1)) / (1 + q*(k-1))
	}
	c.split, c.ratio = split, ratio
	for _, l := range f.lines {
		l.amp /= 1 + complex(c.ratio, 0)*c.grown(l)
	}
	f.residual(true)
}

// second is the second mode's amplitude over the first's, the root of its mean square.
func (f *fit) second() float64 {
	sum, n := 0.0, 0.0
	for _, l := range f.used() {
		sum += sq(f.pair.of(l))
		n++
	}
	return math.Sqrt(sum / n)
}
