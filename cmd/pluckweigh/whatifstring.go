package main

import (
	"pluckweigh/physics"
)

// A strung string is one of which is known how hard it pulls.
type strung struct {
	physics.Strung
	cored   bool                                                           // what carries the pull is known
	retuned func(physics.Frequency) (physics.Result[physics.Force], error) // its pull elsewhere; nil where not known
}

// heard foresees what a string will do that was heard.
func (w *foreseeing) heard(r heard) (*figure, error) {
	s, err := stretchOf(r, w.scale.Measured, w.held.Ends)
	if err != nil {
		return nil, err
	}
	mu, err := w.unitWeight()
	if err != nil {
		return nil, err
	}
	fig, err := w.foresee(s, mu)
	if fig == nil {
		err = noString(err, "the tension comes out implausible for a string")
	}
	return fig, err
}

// told foresees what a string will do that was described.
func (w *foreseeing) told() (*figure, error) {
	at, err := w.at.at(w.e.reference.hz)
	if err != nil {
		return nil, about("at", err)
	}
	if w.given("pull") {
		return w.pulled(at)
	}
	mu, err := w.unitWeight()
	if err != nil {
		return nil, err
	}
	s, err := w.tuned(mu.Value, at)
	if err != nil {
		return nil, err
	}
	return w.foresee(s, mu)
}

// foresee foresees what a string of known weight will do.
func (w *foreseeing) foresee(s physics.Stretch, mu physics.Result[physics.UnitWeight]) (*figure, error) {
	pull, err := tensionTraced(s, mu)
	if err == nil {
		err = physics.Pull.Check(pull.Value)
	}
	if err != nil {
		return nil, err
	}
	fig := figureOf("tension", "", pull, betterTension)
	h := w.strung(pull)
	h.retuned = w.reweighed(h, s, mu)
	return fig, w.ask(fig, h)
}

// pulled foresees what a string under a known pull will do, tuned to a note if
// that is known.
func (w *foreseeing) pulled(at physics.Frequency) (*figure, error) {
	pull, err := w.pull.pull()
	if err != nil {
		return nil, about("pull", err)
	}
	fig := figureOf("pull", "", pull, nil)
	h := w.strung(pull)
	switch {
	case at > 0:
		h.retuned = func(to physics.Frequency) (physics.Result[physics.Force], error) { return h.Retuned(at, to) }
	case w.weighed():
		mu, err := w.unitWeight()
		if err != nil {
			return nil, err
		}
		s, err := w.tuned(mu.Value, physics.FrequencyOf(pull.Value, mu.Value, w.scale.Value))
		if err != nil {
			return nil, err
		}
		h.retuned = w.reweighed(h, s, mu)
	}
	return fig, w.ask(fig, h)
}

func (w *foreseeing) strung(pull physics.Result[physics.Force]) strung {
	return strung{physics.Strung{Length: w.scale.Measured, Pull: pull, Core: w.carrier()}, w.cored(), nil}
}

// reweighed tells the pull at another pitch of a string of known weight.
func (w *foreseeing) reweighed(h strung, s physics.Stretch, mu physics.Result[physics.UnitWeight]) func(physics.Frequency) (physics.Result[physics.Force], error) {
	return func(to physics.Frequency) (physics.Result[physics.Force], error) {
		there, err := s.Retuned(to)
		if err != nil {
			return physics.Result[physics.Force]{}, err
		}
		pull, err := tensionTraced(there, mu)
		if err != nil || !h.cored {
			return pull, err
		}
		return h.Thinned(pull)
	}
}

// tensionTraced is the tension of a string of unit weight mu, by what mu rests on.
func tensionTraced(s physics.Stretch, mu physics.Result[physics.UnitWeight]) (physics.Result[physics.Force], error) {
	pull, err := s.Tension(mu.Measured)
	if err != nil || len(mu.Budget) == 0 {
		return pull, err
	}
	return physics.Traced(pull, string(physics.StringWeight), mu)
}

// tuned is a string of unit weight mu that nobody heard at the pitch it is tuned to.
func (w *foreseeing) tuned(mu physics.UnitWeight, at physics.Frequency) (physics.Stretch, error) {
	s := physics.Stretch{Length: w.scale.Measured, F0: physics.Stated(at, 0), B: physics.UnheardInharmonicity(), Ends: w.held.Ends}
	var err error
	if w.cored() {
		s.B, err = w.carrier().Inharmonicity(physics.TensionOf(mu, w.scale.Value, at), w.scale.Value)
	}
	return s, err
}

// cored tells whether it is known what carries the pull.
func (w *foreseeing) cored() bool { return w.given("core") || w.plain() }

// plain tells whether the string is a plain wire.
func (w *foreseeing) plain() bool { return w.given("gauge") && !w.given("core") }

// weighed tells whether the unit weight is known.
func (w *foreseeing) weighed() bool { return w.given("unit-weight") || w.plain() }

// carrier is what carries the pull: the core, or a plain wire's all.
func (w *foreseeing) carrier() physics.Core {
	c := physics.Core{Shape: w.across.Shape, Size: w.core.Measured, Of: w.of.Material}
	if w.plain() {
		c.Size = w.gauge.Measured
	}
	return c
}

// unitWeight is what was given, or that of a plain wire.
func (w *foreseeing) unitWeight() (physics.Result[physics.UnitWeight], error) {
	if !w.given("unit-weight") {
		return physics.Build{Core: w.carrier()}.UnitWeight()
	}
	mu := physics.Result[physics.UnitWeight]{Measured: w.weight.Measured}
	if !w.cored() {
		return mu, nil
	}
	return mu, w.carrier().CheckWeight(w.weight.Measured, w.plain())
}
