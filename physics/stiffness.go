package physics

import "math"

// RoundStiffness is the bending stiffness E·I of a round core of diameter d:
// I = πd⁴/64.
func RoundStiffness(e Pressure, d Length) BendingStiffness {
	return BendingStiffness(float64(e) * Round.moment() * math.Pow(float64(d), 4))
}

// InharmonicityOf is B = π²EI/(TL²) of a string of bending stiffness ei under a
// pull (Fletcher 1964; Fletcher & Rossing, The Physics of Musical Instruments).
// It is plain arithmetic on positive numbers.
func InharmonicityOf(ei BendingStiffness, pull Force, l Length) Inharmonicity {
	return Inharmonicity(math.Pi * math.Pi * float64(ei) / (float64(pull) * float64(l) * float64(l)))
}

// StiffnessOf is the inverse of InharmonicityOf: EI = B·T·L²/π².
func StiffnessOf(b Inharmonicity, pull Force, l Length) BendingStiffness {
	return BendingStiffness(float64(b) * float64(pull) * float64(l) * float64(l) / (math.Pi * math.Pi))
}

// PartialRaise is how far the law of a stiff string, f_n = n·f0·√(1+B·n²) (Fletcher
// 1964), puts partial n above n·f0.
func PartialRaise(b Inharmonicity, n int) PitchInterval {
	return PitchInterval(600 * math.Log1p(float64(b)*float64(n)*float64(n)) / math.Ln2)
}

// A Stiff string is one of which the inharmonicity is known under a known pull.
type Stiff struct {
	B      Measured[Inharmonicity]
	Pull   Measured[Force]
	Length Measured[Length] // speaking length
}

// Stiffness is EI = B·T·L²/π². Terms of the budget: "inharmonicity", "pull",
// "speaking length". The error is an *InputError.
func (s Stiff) Stiffness() (Result[BendingStiffness], error) {
	if err := s.check(); err != nil {
		return Result[BendingStiffness]{}, err
	}
	ei := float64(StiffnessOf(s.B.Value, s.Pull.Value, s.Length.Value))
	return conclude("bending stiffness", BendingStiffness(ei), 0,
		power(string(StringInharmonicity), s.B, ei, 1),
		power(string(Pull), s.Pull, ei, 1),
		power(string(SpeakingLength), s.Length, ei, 2))
}

func (s Stiff) check() error {
	if err := checkHeard(s.B); err != nil {
		return err
	}
	if err := s.Pull.check(string(Pull)); err != nil {
		return err
	}
	return s.Length.check(string(SpeakingLength))
}

// checkHeard refuses an inharmonicity that says nothing of the stiffness.
func checkHeard(b Measured[Inharmonicity]) error {
	if err := checkInharmonicity(b); err != nil {
		return err
	}
	return b.check(string(StringInharmonicity))
}

// Stiffness is that of a string of unit weight w, from the tension that follows of
// it: EI = 4BµL⁴f0²/π² times the end factor. Terms of the budget as in Tension. The
// error is an *InputError.
func (s Stretch) Stiffness(w Measured[UnitWeight]) (Result[BendingStiffness], error) {
	if err := checkHeard(s.B); err != nil {
		return Result[BendingStiffness]{}, err
	}
	t, err := s.Tension(w)
	if err != nil {
		return Result[BendingStiffness]{}, err
	}
	ei := float64(StiffnessOf(s.B.Value, t.Value, s.Length.Value))
	// The end factor depends on B too: hundreds of times less than B itself, and
	// left out.
	stiff := power(string(StringInharmonicity), s.B, ei, 1)
	stiff.Correlations = s.correlations()
	terms := []Term{stiff}
	for _, term := range t.Budget {
		scale := ei / float64(t.Value)
		switch term.Input {
		case string(StringInharmonicity):
			continue
		case string(SpeakingLength):
			scale *= 2
		}
		term.Sensitivity *= scale
		term.Shift *= scale
		terms = append(terms, term)
	}
	return conclude("bending stiffness", BendingStiffness(ei), 0, terms...)
}

// RoughStiffness is Stiffness for an inharmonicity that may be zero within its
// uncertainty, which alone is counted. The error is an *InputError.
func (s Stretch) RoughStiffness(w Measured[UnitWeight]) (Measured[BendingStiffness], error) {
	t, err := s.Tension(w)
	if err != nil {
		return Measured[BendingStiffness]{}, err
	}
	return Stated(StiffnessOf(s.B.Value, t.Value, s.Length.Value), StiffnessOf(s.B.U, t.Value, s.Length.Value)), nil
}
