package physics

import "math"

// Raise is the frequency that lies an interval above f.
func (f Frequency) Raise(by PitchInterval) Frequency {
	return f * Frequency(math.Exp2(float64(by/Octave)))
}

// Retuned is the stretch tuned to another fundamental by its pull alone. What was
// heard of the fundamental no longer matters: the new one is what was asked for, and
// B has nothing in common with it. B goes with 1/T, so with 1/f0². The error is an
// *InputError.
func (s Stretch) Retuned(to Frequency) (Stretch, error) {
	if err := s.check(); err != nil {
		return Stretch{}, err
	}
	if err := checkPositive("f0", float64(to)); err != nil {
		return Stretch{}, err
	}
	ratio := float64(s.F0.Value / to)
	s.B.Value *= Inharmonicity(ratio * ratio)
	s.B.U *= Inharmonicity(ratio * ratio)
	s.F0, s.Corr = Stated(to, 0), 0
	s.Clock = Relative{}
	return s, checkInharmonicity(s.B)
}

// Thinned corrects the pull at another pitch, as Stretch.Tension has it for an
// unchanged unit weight, for what the core gives: as much mass lies on more or less
// string, which changes the unit weight by (T'−T)/EA, and the pull with it. What
// both pulls rest on counts once.
func (s Strung) Thinned(retuned Result[Force]) (Result[Force], error) {
	if err := retuned.check(string(Pull)); err != nil {
		return Result[Force]{}, err
	}
	axial, err := s.axial()
	if err != nil {
		return Result[Force]{}, err
	}
	thinned := derive(func(x ...float64) float64 { return x[0] / (1 + (x[0]-x[1])/x[2]) },
		fromResult(string(Pull), retuned), s.pull(), axial)
	return concludeDerived(string(Pull), thinned, retuned.Unit)
}

// Retuned is the pull of a string of unknown weight at another pitch, by the square
// of the ratio. Terms: those of the pull.
func (s Strung) Retuned(from, to Frequency) (Result[Force], error) {
	if err := s.checkPull(); err != nil {
		return Result[Force]{}, err
	}
	ratio := float64(to / from)
	if err := checkPositive("ratio of the pitches", ratio); err != nil {
		return Result[Force]{}, err
	}
	return concludeDerived(string(Pull), derive(func(x ...float64) float64 { return x[0] * ratio * ratio }, s.pull()), s.Pull.Unit)
}
