package survey

import (
	"math"

	"pluckweigh/physics"
)

// A Held is how a string of the instrument is held.
type Held struct {
	Length physics.Measured[physics.Length]
	Ends   physics.Ends
	Clock  physics.Relative // of the recorder
}

// ClockCents is what the recorder's clock makes a pitch uncertain by, cents.
func (h Held) ClockCents() float64 { return h.Clock.U * 1200 / math.Ln2 }

// AsFound is the string as it was heard.
func (s State) AsFound(h Held) physics.Stretch {
	return physics.Stretch{Length: h.Length, F0: s.F0, B: s.B, Corr: s.Corr, Clock: h.Clock, Ends: h.Ends}
}

// AtPitch is the same string with its first partial at a note. Its unit weight and
// bending stiffness are taken to stay, so that B goes with 1/f0². The note is what it is:
// neither what was heard nor a recorder's clock makes it uncertain.
func (s State) AtPitch(h Held, note physics.Frequency) physics.Stretch {
	by := float64(note / s.F1.Value)
	b := s.B
	b.Value /= physics.Inharmonicity(by * by)
	b.U /= physics.Inharmonicity(by * by)
	f0 := float64(note) / math.Sqrt(1+float64(b.Value))
	return physics.Stretch{Length: h.Length, F0: physics.Stated(physics.Frequency(f0), physics.Frequency(f0*float64(b.U)/2)), B: b, Ends: h.Ends}
}

// Weighed is the string that was heard with a clip on it, in the state given: as found or
// at pitch.
func (s State) Weighed(is physics.Stretch) physics.Clip {
	c := physics.Clip{Mass: s.Clip.Mass, Length: is.Length, Ratio: s.Clip.Ratio, RatioU: s.Clip.U, F0: is.F0, B: is.B, Clock: is.Clock, Ends: is.Ends}
	if is.F0 == s.F0 {
		c.Correlation = s.Clip.Correlation
	}
	return c
}

// Needed is the unit weight of a string that would pull so hard where one of this unit
// weight pulls as it does, both at one pitch.
func Needed(is physics.UnitWeight, pulls, wanted physics.Force) physics.UnitWeight {
	return is * physics.UnitWeight(wanted/pulls)
}
