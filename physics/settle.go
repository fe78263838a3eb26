package physics

import (
	"cmp"
	"math"
	"slices"
)

// A Test is something that can be looked at or measured of a string to tell builds
// apart.
type Test struct {
	Of Telling
	// Shows is between what it will show a number, printed; empty where it shows
	// none.
	Shows string
	// Low and High are the ends of that, in SI.
	Low, High float64
	// Gain is how many times wider that is than such a measurement usually comes
	// out, as ratio of the standard uncertainties.
	Gain float64
}

// Telling is what a Test is of.
type Telling int

const (
	TellWound     Telling = iota // whether there is a wrap
	TellCore                     // size of the core, with a micrometer
	TellShape                    // whether the core is round or hexagonal
	TellStiffness                // stiffness, by the inharmonicity heard
	TellPitch                    // pitch of the outer wrap, its turns counted along a rule
	TellMaterial                 // what the outer wrap is made of
)

// String names what is told in a word.
func (t Telling) String() string {
	return [...]string{"wound", "core", "shape", "stiffness", "pitch", "wrap material"}[t]
}

// worthTelling is the gain from which a test is worth naming.
const worthTelling = 2

// heardStiffness is the relative standard uncertainty to which hearing tells the
// stiffness of a core: that of its modulus, about.
const heardStiffness = 0.03

// open is how likely something must be, and its contrary too, to be left open.
const open = 0.02

// tests lists what would tell the builds apart, the most telling first.
func (e Evidence) tests(found []Explained) []Test {
	var all, wound []sizing
	plain, round := 0.0, 0.0
	wraps := map[string]float64{}
	for _, x := range found {
		all = append(all, x.sizings...)
		if x.Shape == Round {
			round += x.Probability
		}
		if len(x.Wraps) == 0 {
			plain += x.Probability
			continue
		}
		wraps[x.Wraps[len(x.Wraps)-1].Of.Name] += x.Probability
		wound = append(wound, x.sizings...)
	}
	if plain > open && plain < 1-open {
		// Seen at once, so before all else.
		return []Test{{Of: TellWound, Gain: math.Inf(1)}}
	}
	var out []Test
	if !e.cored() {
		s := sizeSpan(all, 0).in(e.Outside.Unit)
		out = append(out, testOf(TellCore, s, CoreSize.Assume(s.Value).U))
	}
	if !e.stiff() {
		s := spanOf[BendingStiffness](all, sizing.stiffness)
		out = append(out, testOf(TellStiffness, s, heardStiffness*s.Value))
	}
	if plain < 1-open && !e.pitched() {
		s := spanOf[Length](wound, sizing.wrapPitch).in(e.Outside.Unit)
		out = append(out, testOf(TellPitch, s, WrapPitch.Assume(s.Value).U))
	}
	out = slices.DeleteFunc(out, func(t Test) bool { return t.Gain < worthTelling })
	slices.SortStableFunc(out, func(a, b Test) int { return cmp.Compare(b.Gain, a.Gain) })
	if round > open && round < 1-open {
		out = append(out, Test{Of: TellShape})
	}
	likely := 0
	for _, p := range wraps {
		if p > open {
			likely++
		}
	}
	if likely > 1 {
		out = append(out, Test{Of: TellMaterial})
	}
	return out
}

// testOf is a test that will show what lies in a span, with the standard
// uncertainty usual to it.
func testOf[Q Quantity](of Telling, s Span[Q], usual Q) Test {
	return Test{Of: of, Shows: s.Range(), Low: float64(s.Low), High: float64(s.High), Gain: float64(s.U / usual)}
}
