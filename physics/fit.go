package physics

import "math"

// CheckWeight refuses a core that cannot be that of a string of unit weight w: of a
// plain string it weighs all, of a wound one less. The error is an *InputError.
func (c Core) CheckWeight(w Measured[UnitWeight], plain bool) error {
	own, err := Build{Core: c}.UnitWeight()
	if err != nil {
		return err
	}
	if err := w.check(string(StringWeight)); err != nil {
		return err
	}
	// Beyond four standard uncertainties and a hundredth, something else is meant.
	slack := 4*math.Hypot(float64(own.U), float64(w.U)) + 0.01*float64(w.Value)
	over := float64(own.Value - w.Value)
	said := Format(own.Value, w.Unit, 3) + ", the string " + Format(w.Value, w.Unit, 3)
	switch {
	case over > slack:
		return &InputError{What: string(CoreSize), Why: "weighs more than the string: " + said,
			Fix: "check its size, its material and the unit weight"}
	case plain && -over > slack:
		return &InputError{What: string(Gauge), Why: "of a plain wire weighs less than the string: " + said,
			Fix: "a wound string is carried by its core: give the core's size"}
	}
	return nil
}

// Inharmonicity is B of a string with this core under a pull. What a wrap adds to
// the core's stiffness is not known: a fifth of B is taken for its standard
// uncertainty (judgement), which counts as assumed. The error is an *InputError.
func (c Core) Inharmonicity(pull Force, l Length) (Measured[Inharmonicity], error) {
	ei, err := c.Stiffness()
	if err != nil {
		return Measured[Inharmonicity]{}, err
	}
	b := InharmonicityOf(ei.Value, pull, l)
	return Measured[Inharmonicity]{
		Value: b, U: b * Inharmonicity(math.Hypot(ei.Relative(), 0.2)), Assumed: true,
	}, nil
}

// UnheardInharmonicity is what is assumed of a string of which neither the core is
// known nor a sound was heard: strings of fretted instruments lie between 1e-5 and
// 3e-4 mostly (judgement).
func UnheardInharmonicity() Measured[Inharmonicity] {
	return Measured[Inharmonicity]{Value: 1e-4, U: 1e-4, Assumed: true}
}
