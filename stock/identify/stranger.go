package identify

import (
	"math"
	"sync"

	"pluckweigh/stock/traits"
)

// A stranger is a string of a kind that may be whatever can be built.
type stranger struct {
	before mixture
	after  mixture // what was measured
	log    float64 // of the density of that
	misfit float64 // of the build that fits it best
	// deaf and deafLog are after and log but for a stiffness heard roughly.
	deaf    mixture
	deafLog float64
	of      [allTraits + 1]func() *sides // by the traits that they concern
}

// sides are what is known of a stranger before and after something was measured, as far as it
// concerns some traits.
type sides struct{ before, after, deaf marginal }

// stranger is one of that kind.
func (w *witness) stranger(k traits.Kind) *stranger { return w.about[k]() }

func (w *witness) newStranger(k traits.Kind) *stranger {
	s := &stranger{before: plausible(k)}
	s.deafLog, s.misfit = s.before.logDensity(&w.seen, w.seen.mask)
	s.deaf = s.before.given(&w.seen, slightest)
	s.after, s.log = w.heard(s.deaf)
	s.log += s.deafLog
	for m := range s.of {
		s.of[m] = sync.OnceValue(func() *sides {
			m := mask(m)
			return &sides{s.before.marginal(m), s.after.marginal(m), s.deaf.marginal(m)}
		})
	}
	return s
}

// given is the logarithm of the density of what was measured, if it is of a string of which
// less is known (by Bayes' theorem, of the density of that string); minus infinity where
// that is below least.
func (s *stranger) given(itself *normal, least float64) float64 {
	of := s.of[itself.mask]()
	some := of.before.atLeast(itself)
	if s.log+of.after.atMost(itself)-some < least {
		return math.Inf(-1)
	}
	log := s.log + of.after.logDensity(itself)
	if log-some < least {
		return math.Inf(-1)
	}
	return log - of.before.logDensity(itself)
}

// roughly is the logarithm of how well a stiffness heard roughly agrees with a string of
// which it is not known.
func (s *stranger) roughly(itself *normal) float64 {
	of := s.of[itself.mask]()
	return s.log + of.after.logDensity(itself) - s.deafLog - of.deaf.logDensity(itself)
}

// woundShare is how likely a string of a kind is wound of which something else may be known.
func (w *witness) woundShare(k traits.Kind, itself *normal) float64 {
	switch k {
	case traits.Plain:
		return 0
	case traits.Wound:
		return 1
	}
	var logs [2]float64
	for i, k := range []traits.Kind{traits.Plain, traits.Wound} {
		l, _ := w.stranger(k).after.logDensity(itself, itself.mask)
		logs[i] = w.stranger(k).log + l
	}
	return math.Exp(logs[1] - logSum(logs[:]))
}
