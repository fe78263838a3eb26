package physics

// A Strung is a string under its pull, of which the core carries all: a wrap has no
// end to be held by. What its methods say holds for a core that stays elastic,
// between ends that do not give, over which nothing slides and beyond which nothing
// stretches. Their errors are *InputErrors.
type Strung struct {
	Length Measured[Length] // speaking length
	Pull   Result[Force]    // its budget empty where it was stated
	Core   Core
}

// furthest is the strain up to which the laws of a straight elastic wire are taken:
// steel breaks at one or two hundredths, nylon is strung at five or so.
const furthest = 0.2

// Stress is what the core carries per section, T/A. Terms: those of the pull, and
// "core".
func (s Strung) Stress() (Result[Pressure], error) {
	if _, err := s.axial(); err != nil {
		return Result[Pressure]{}, err
	}
	stress := derive(func(x ...float64) float64 {
		return x[0] / (s.Core.Shape.area() * x[1] * x[1])
	}, s.pull(), s.size())
	return concludeDerived("stress", stress, Gigapascal)
}

// SideStiffness is the side force at mid-length over the deflection that it makes,
// as long as that is small: 4T/L. It does not depend on the core.
func (s Strung) SideStiffness() (Result[SideStiffness], error) {
	if err := s.checkPull(); err != nil {
		return Result[SideStiffness]{}, err
	}
	side := derive(func(x ...float64) float64 { return 4 * x[0] / x[1] }, s.pull(), s.length())
	unit := NewtonPerMillimetre
	if s.Pull.Unit == PoundForce || s.Pull.Unit == OunceForce {
		unit = PoundForcePerInch
	}
	return concludeDerived("side stiffness", side, unit)
}

func (s Strung) pull() source   { return fromResult(string(Pull), s.Pull) }
func (s Strung) length() source { return from(string(SpeakingLength), s.Length) }
func (s Strung) size() source   { return from(string(CoreSize), s.Core.Size) }

// axial is the core's axial stiffness, checked to be that of a string that is not
// stretched beyond what the laws hold for.
func (s Strung) axial() (source, error) {
	if err := s.check(); err != nil {
		return source{}, err
	}
	ea, err := s.Core.Axial()
	if err != nil {
		return source{}, err
	}
	if strain := s.Pull.Value / ea.Value; strain > furthest {
		return source{}, &InputError{What: string(Pull),
			Why: "of " + Format(s.Pull.Value, s.Pull.Unit, 4) + " would stretch the core by " + Format(Fraction(strain), Percent, 2),
			Fix: "check the core, its material and the numbers that the pull comes from"}
	}
	return fromResult("axial stiffness", ea), nil
}

func (s Strung) checkPull() error {
	if err := s.Pull.check(string(Pull)); err != nil {
		return err
	}
	return s.Length.check(string(SpeakingLength))
}

func (s Strung) check() error {
	if err := s.checkPull(); err != nil {
		return err
	}
	return s.Core.check()
}
