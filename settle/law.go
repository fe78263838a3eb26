package settle

import "math"

// A Law is how a pitch goes with time.
type Law int

// The laws, with t the time since the first reading.
const (
	Still       Law = iota // a
	Linear                 // a + b t
	Logarithmic            // a + b ln(1 + t/τ)
	Exponential            // a + b exp(−t/τ)
)

// laws lists them, the simplest first.
var laws = []Law{Still, Linear, Logarithmic, Exponential}

// String names the law.
func (l Law) String() string {
	return [...]string{"still", "linear", "logarithmic creep", "exponential recovery"}[l]
}

// sloped tells whether the law has a b, and curved whether it has a τ.
func (l Law) sloped() bool { return l != Still }
func (l Law) curved() bool { return l == Logarithmic || l == Exponential }

// shape is what b is multiplied by at the time t, both times in one unit.
func (l Law) shape(t, tau float64) float64 {
	switch l {
	case Linear:
		return t
	case Logarithmic:
		return math.Log1p(t / tau)
	case Exponential:
		return math.Exp(-t / tau)
	}
	return 0
}

// rate is the derivative of shape by t.
func (l Law) rate(t, tau float64) float64 {
	switch l {
	case Linear:
		return 1
	case Logarithmic:
		return 1 / (tau + t)
	case Exponential:
		return -math.Exp(-t/tau) / tau
	}
	return 0
}

// change is shape(t+ahead) − shape(t), which keeps its digits.
func (l Law) change(t, ahead, tau float64) float64 {
	switch l {
	case Linear:
		return ahead
	case Logarithmic:
		return math.Log1p(ahead / (tau + t))
	case Exponential:
		return math.Exp(-t/tau) * math.Expm1(-ahead/tau)
	}
	return 0
}

// wait is how long after t it takes until b times the change over what lies so far
// ahead is no more than tolerance: 0 where it is already, infinite where it never will
// be.
func (l Law) wait(t, ahead, tau, b, tolerance float64) float64 {
	now := math.Abs(b * l.change(t, ahead, tau))
	switch {
	case now <= tolerance:
		return 0
	case l == Logarithmic:
		return ahead/math.Expm1(tolerance/math.Abs(b)) - tau - t
	case l == Exponential:
		return tau * math.Log(now/tolerance)
	}
	return math.Inf(1)
}

// parameters counts those of a law: a, b and τ.
func (l Law) parameters() int {
	switch {
	case l.curved():
		return 3
	case l.sloped():
		return 2
	}
	return 1
}
