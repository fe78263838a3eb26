package physics

import "math"

// RoundStiffness is the bending stiffness E·I of a round core of diameter d:
// I = πd⁴/64.
func RoundStiffness(e Pressure, d Length) BendingStiffness {
	return BendingStiffness(float64(e) * math.Pi / 64 * math.Pow(float64(d), 4))
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
