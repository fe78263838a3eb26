package synth

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

const (
	// mostSamples bounds a take, 5.8 minutes at 48 kHz: all of it is in memory.
	mostSamples = 1 << 24
	// mostPartials bounds the work on one sample.
	mostPartials = 10000
	// closest is the least time between plucks, and the least that a
	// signal-to-noise ratio is taken over, in seconds.
	closest = 2 * stopTime
)

// Validate says what is wrong with the take, in one error for all of it, or
// returns nil. A take that passes renders finite samples, or fails because
// nothing of the string reaches the pickup.
func (t Take) Validate() error {
	c := &check{}
	c.within("rate (Hz)", t.Rate, 100, 1e7)
	c.within("rate × seconds (samples)", t.Rate*t.Seconds, 1, mostSamples)
	c.within("pickup quantity", float64(t.Pickup.Senses), float64(Velocity), float64(BridgeForce))
	if t.Pickup.Senses != BridgeForce && !(t.Pickup.At > 0 && t.Pickup.At < 1) {
		c.add("pickup must lie between the ends of the string, 0 and 1, is at %g", t.Pickup.At)
	}
	c.within("most partials", float64(t.MaxPartials), 0, mostPartials)
	c.within("ramp × seconds (cents)", t.Ramp*t.Seconds, -12000, 12000)
	c.within("damp (s)", t.Damp, 0, math.MaxFloat64)
	t.checkString(c, "string", t.String)
	for i, p := range t.Plucks {
		name := fmt.Sprintf("pluck %d", i+1)
		t.checkPluck(c, name, p, t.String)
		if i > 0 && !(p.At >= t.Plucks[i-1].At+closest) {
			c.add("%s must come at least %g s after the pluck before it", name, closest)
		}
	}
	for i, nb := range t.Neighbors {
		name := fmt.Sprintf("neighbor %d", i+1)
		t.checkString(c, name, nb.String)
		t.checkPluck(c, name+" pluck", nb.Pluck, nb.String)
		c.level(name, nb.Level)
	}
	t.checkChain(c)
	return c.err()
}

func (t Take) checkString(c *check, name string, s String) {
	c.within(name+" length (m)", s.Length, 1e-3, 1e3)
	c.within(name+" tension (N)", s.Tension, 1e-6, 1e6)
	c.within(name+" unit weight (kg/m)", s.UnitWeight, 1e-9, 1e3)
	c.within(name+" stiffness (N·m²)", s.Stiffness, 0, math.MaxFloat64)
	c.within(name+" axial stiffness (N)", s.AxialStiffness, 0, math.MaxFloat64)
	c.within(name+" decay base (1/s)", s.Decay.Base, 0, 1e6)
	c.within(name+" decay rise (1/s)", s.Decay.Rise, 0, 1e6)
	c.within(name+" second polarization's share", s.Second.Share, 0, 1e6)
	c.within(name+" second polarization's cents", s.Second.Cents, -1200, 1200)
	c.within(name+" second polarization's decay", s.Second.Decay, 0, 1e6)
	c.within(name+" unevenness (cents)", s.Uneven, 0, 1200)
	c.within(name+" clip's mass over the string's", s.ratio(), 0, 10)
	if s.Clip.Mass != 0 && !(s.Clip.At > 0 && s.Clip.At < 1) {
		c.add("%s clip must sit between the ends of the string, 0 and 1, sits at %g", name, s.Clip.At)
	}
	c.within(name+" fundamental (Hz)", s.F0(), 1, 1e5)
	c.within(name+" inharmonicity", s.B(), 0, 1)
	if t.MaxPartials == 0 && t.Rate/2 > mostPartials*s.F0() {
		c.add("%s has more than %d partials below half the rate: set MaxPartials", name, mostPartials)
	}
}

func (t Take) checkPluck(c *check, name string, p Pluck, s String) {
	if !(p.At >= 0 && math.Ceil(p.At*t.Rate) < math.Round(t.Rate*t.Seconds)) {
		c.add("%s must lie within the take of %g s, is at %g s", name, t.Seconds, p.At)
	}
	c.within(name+" height (m)", p.Height, 1e-9, s.Length)
	if !(p.Point > 0 && p.Point < 1) {
		c.add("%s must lie between the ends of the string, points 0 and 1, is at %g", name, p.Point)
	}
	c.within(name+" width (m)", p.Width, 0, s.Length)
	c.within(name+" glide (cents)", 1200*math.Log2(1+p.Glide(s)), -1200, 1200)
}

func (t Take) checkChain(c *check) {
	c.level("take", t.Level)
	c.level("attack", t.Attack.Level)
	c.within("attack seconds", t.Attack.Seconds, 0, t.Seconds)
	c.within("high-pass order", float64(t.HighPass.Order), 0, 16)
	if t.HighPass.Order > 0 {
		// Far below that the poles round into the zeros.
		c.within("high-pass corner (Hz)", t.HighPass.Corner, 1e-6*t.Rate, 0.4999*t.Rate)
	}
	c.within("hum harmonics", float64(t.Hum.Harmonics), 0, mostPartials)
	c.level("hum", t.Hum.Level)
	if t.Hum.Harmonics > 0 {
		c.within("hum frequency (Hz)", t.Hum.Freq, 1e-3, 1e7)
	}
	c.within("clip", t.Clip, 0, math.MaxFloat64)
	c.within("bits", float64(t.Bits), 0, 52)
	for i, n := range t.Noise {
		name := fmt.Sprintf("noise %d", i+1)
		c.level(name, n.DB)
		c.within(name+" color", float64(n.Color), float64(White), float64(Rumble))
		c.within(name+" reference", float64(n.Reference), float64(SNR), float64(FullScale))
		if n.Reference == SNR && !t.heard() {
			c.add("%s is relative to the string, which is not heard for %g s: pluck it, "+
				"or give the noise the reference FullScale", name, closest)
		}
	}
}

// heard says that there is enough of a pluck to take a signal-to-noise ratio of.
func (t Take) heard() bool {
	from, to := t.snrSamples()
	return float64(to-from) >= closest*t.Rate-1
}

// A check collects what is wrong.
type check struct{ wrong []string }

func (c *check) add(format string, args ...any) {
	c.wrong = append(c.wrong, fmt.Sprintf(format, args...))
}

// within wants a number from lo to hi; NaN is none.
func (c *check) within(name string, v, lo, hi float64) {
	if !(v >= lo && v <= hi) {
		c.add("%s must lie within %g and %g, is %g", name, lo, hi, v)
	}
}

// level wants decibels.
func (c *check) level(name string, db float64) { c.within(name+" level (dB)", db, -300, 300) }

func (c *check) err() error {
	if len(c.wrong) == 0 {
		return nil
	}
	return errors.New("synth: " + strings.Join(c.wrong, "; "))
}
