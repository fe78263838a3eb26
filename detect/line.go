package detect

import "math"

// A line is one damped partial in the window that is being fitted:
// Re{amp·e^((-alpha + 2πi f)t)} from the window's first sample on, with f from
// the law that all lines share.
type line struct {
	n     int
	hz    float64    // where it is taken to be now: by the law, plus off
	off   float64    // Hz, its own departure from the law
	alpha float64    // amplitude decay rate, 1/s
	amp   complex128 // at the window's start

	// A partial whose two polarisations differ is a pair that beats; the twin is
	// the weaker one.
	twin struct {
		on    bool
		d     float64 // Hz above hz
		alpha float64
		amp   complex128
		uAmp  float64
	}

	// A line of a coupled pair has a second mode by the coupling that all lines
	// share; eps is how far its own ratio of amplitudes departs from the shared.
	pair *coupling
	eps  complex128

	lo, hi int        // its bins, [lo, hi)
	view   *view      // of them, nil where there is none
	noise  float64    // power per bin that the fit leaves there
	bare   [2]float64 // shares of their mean and their slope that are not taken for what leaks in from afar
	cost   float64    // its share of the negative log-likelihood

	// From the last step, amplitude, phase and decay already eliminated:
	info  [shared][shared]float64 // Fisher information on (hz, g, ln α of the glide, slope, lead, and what couples pairs)
	grad  [shared]float64         // and its right-hand side
	snr   float64                 // power of the line over the noise in its bins
	uAmp  float64                 // standard uncertainty of |amp|
	uRate float64                 // and of alpha
	used  bool
	out   bool    // set aside for good: not heard, or not of this law
	extra bool    // of a stray: found beside a coupled pair
	occam float64 // by how much the sound narrows its decay and its twin, nats
}

// A mode is one damped sinusoid of a line.
type mode struct {
	hz, alpha float64
	amp       complex128
}

// modes lists what a line sounds, its own first.
func (l *line) modes() []mode {
	ms, count := l.sounds()
	return ms[:count]
}

// sounds is modes, and how many there are, with nothing allocated.
func (l *line) sounds() (ms [2]mode, count int) {
	ms[0] = mode{l.hz, l.alpha, l.amp}
	switch {
	case l.pair != nil:
		ms[1] = l.pair.mode(l)
	case l.twin.on:
		ms[1] = mode{l.hz + l.twin.d, l.twin.alpha, l.twin.amp}
	default:
		return ms, 1
	}
	return ms, 2
}

// exponent is the mode's complex exponent per sample.
func (m mode) exponent(rate float64) complex128 {
	return complex(-m.alpha/rate, 2*math.Pi*m.hz/rate)
}

const lineBins = 32 // bins on each side of a line: 98 % of what they tell about its frequency

const (
	common  = 6  // what a line tells of to the others: its frequency, the glide's two parameters, a slope, a lead's two,
	shared  = 10 // and in a coupled pair its split, ratio, decays and time since the pluck
	single  = 3  // what concerns it alone: amplitude's two parts and decay,
	coupled = 5  // in a coupled pair eps's two parts,
	double  = 7  // and with a twin of its own that one's four
)

// A frame is the spectrum of the stretch that is fitted, unwindowed and
// unpadded, so that white noise is independent from bin to bin.
type frame struct {
	rate    float64
	n       int
	spec    []complex128 // bins 0 … n/2
	tw      []complex128 // exp(-2πik/n)
	rest    []complex128 // spec less every line's model, within the spans
	spans   []span
	places  []int  // of the lines that spans were made for
	waves   []wave // scratch
	weights weights
	sheet   *sheet // likewise

	seeing bool // whether lines are seen by their views, rest being what it was when those were taken
	curved bool // what bent tells, as they were seen last

	// The glide that was taken out of the window and the one now believed. What
	// is left is small: the lines carry its mean in their frequencies and its
	// curvature to first order.
	out, now glide
	sloping  bool // whether a slope may be there: its column is worth its price
}

// around is the bins of l nearest to it, so many on each side, [lo, hi).
func (fr *frame) around(l *line, bins int) (lo, hi int) {
	c := int(l.hz/fr.rate*float64(fr.n) + 0.5)
	hi = min(l.hi, c+bins+1)
	return min(max(l.lo, c-bins), hi), hi
}

// secs is the window's length.
func (fr *frame) secs() float64 { return float64(fr.n) / fr.rate }

// meanLeft is the mean relative shift that the window still holds.
func (fr *frame) meanLeft() float64 {
	t := fr.secs()
	return (fr.now.ahead(t) - fr.out.ahead(t)) / t
}

// bendLeft is how far, in seconds, the rest of the glide departs from its mean
// at its worst.
func (fr *frame) bendLeft() float64 {
	worst, m := 0.0, fr.meanLeft()
	for i := 1.0; i < 8; i++ {
		t := fr.secs() * i / 8
		worst = max(worst, math.Abs(fr.now.ahead(t)-fr.out.ahead(t)-m*t))
	}
	return worst
}

// place gives each line the bins around it, up to half-way to its neighbours.
func (fr *frame) place(lines []*line, f0 float64) {
	binHz := fr.rate / float64(fr.n)
	width := int(math.Min(lineBins, 0.48*f0/binHz))
	for _, l := range lines {
		c := int(l.hz/binHz + 0.5)
		// A fast-decaying line is broad: its half width at half power is α/2π.
		w := min(int(0.48*f0/binHz), max(width, int(6*l.alpha/(2*math.Pi)/binHz)))
		l.lo, l.hi = max(1, c-w), min(len(fr.spec)-1, c+w+1)
	}
}

// placeStrays gives lines outside the law the few bins next to them.
func (fr *frame) placeStrays(lines []*line) {
	for _, l := range lines {
		c := int(l.hz/fr.rate*float64(fr.n) + 0.5)
		l.lo, l.hi = max(1, c-8), max(1, min(len(fr.spec)-1, c+9))
	}
}
