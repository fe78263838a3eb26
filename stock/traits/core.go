package traits

import (
	"math"

	"pluckweigh/physics"
)

// CoreOf is the core of the string, if it is of a material: of a plain string, all of
// it, by its diameter or else by what it weighs; of a wound one, a round wire as stiff
// as was heard. It is all zero where these are not known, or what follows is no core.
//
// A hexagonal core as stiff as a round one has 0.35 % less section, so that what it
// carries and what it stretches by are the same for all that is known of a material.
func (s *String) CoreOf(m physics.Material) physics.Core {
	var d physics.Measured[physics.Length]
	switch {
	case s.Kind == Plain && s.Outside.Value > 0:
		d = s.Outside
	case s.Kind == Plain && s.UnitWeight.Value > 0:
		// d = √(4µ/πρ)
		w, rho := s.UnitWeight, m.Density
		d = sized(math.Sqrt(4/math.Pi*float64(w.Value)/float64(rho.Value)), math.Hypot(w.Relative(), rho.Relative())/2)
	case s.Kind == Wound && s.Stiffness.Value > 0:
		ei, e := s.Stiffness, m.Modulus
		one := physics.RoundStiffness(e.Value, 1)
		d = sized(math.Pow(float64(ei.Value/one), 1./4), math.Hypot(ei.Relative(), e.Relative())/4)
	}
	if physics.CoreSize.Check(d.Value) != nil {
		return physics.Core{}
	}
	return physics.Core{Shape: physics.Round, Size: d, Of: m}
}

// sized is a diameter with its standard uncertainty, given as a fraction of it.
func sized(d, relative float64) physics.Measured[physics.Length] {
	return physics.Stated(physics.Length(d), physics.Length(d*relative))
}
