package physics

import (
	"fmt"
	"math"
)

// contradiction says why no build explains the evidence.
func (e Evidence) contradiction() error {
	rho, err := e.Density()
	if err != nil {
		return err
	}
	any := "build"
	fix := "check both numbers and their tolerances"
	if k := e.Known; len(k.Wraps)+len(k.Shapes)+len(k.CoreOf)+len(k.WrapOf) > 0 {
		any = "build of those named"
		fix += ", and what was named of the build"
	}
	at := fmt.Sprintf("of %s at a gauge of %s makes %s as a whole", e.UnitWeight.Expanded(1), e.Outside.Expanded(1), rho.Expanded(1))
	refuse := func(why string) error { return &InputError{What: string(StringWeight), Why: why, Fix: fix} }
	least, most := e.Known.densities()
	switch far := 2.5 * rho.U; { // about as far as worstFit
	case rho.Value+far < least:
		return refuse(fmt.Sprintf("%s, lighter than any %s: the lightest has %s", at, any, Format(least, 0, 4)))
	case rho.Value-far > most:
		return refuse(fmt.Sprintf("%s, heavier than any %s: the heaviest has %s", at, any, Format(most, 0, 4)))
	}
	if err := e.odd(); err != nil {
		return err
	}
	if e.stiff() || e.cored() || e.pitched() {
		return refuse(at + ", and no " + any + " comes to that and to what else was measured")
	}
	return refuse(at + ", and no " + any + " comes to that")
}

// odd finds one figure that the rest of the evidence does without, and says what
// the rest allows; nil where there is none.
func (e Evidence) odd() error {
	without := e
	if e.pitched() {
		without.Pitch = Measured[Length]{}
		if rest := sizings(without.explain()); len(rest) > 0 {
			s := spanOf[Length](rest, sizing.wrapPitch).in(e.Pitch.Unit)
			return against(string(WrapPitch), e.Pitch.Expanded(1), s.Range(), "check it, and that turns touch")
		}
		without = e
	}
	if e.cored() {
		without.Core = Measured[Length]{}
		if rest := sizings(without.explain()); len(rest) > 0 {
			s := sizeSpan(rest, 0).in(e.Core.Unit)
			return against(string(CoreSize), e.Core.Expanded(1), s.Range(), "check it: a hexagonal core is measured across its flats")
		}
		without = e
	}
	if e.stiff() {
		without.Stiffness, without.Correlation = Measured[BendingStiffness]{}, 0
		if rest := sizings(without.explain()); len(rest) > 0 {
			s := spanOf[BendingStiffness](rest, sizing.stiffness)
			return against("bending stiffness", e.Stiffness.Expanded(1),
				s.Range(),
				"check the inharmonicity and what it was taken with; a worn or unevenly wound string sounds stiffer than its core is")
		}
	}
	return nil
}

// against says that a figure contradicts the rest of the evidence.
func against(what, figure, allowed, fix string) error {
	return &InputError{What: what, Why: fmt.Sprintf("of %s contradicts the rest, which allows %s", figure, allowed), Fix: fix}
}

// densities is the range of what builds weigh as a whole, if they were solid.
func (k Known) densities() (least, most Density) {
	least = Density(math.Inf(1))
	for _, f := range k.families() {
		shares := []float64{1}
		if len(f.parts) > 1 {
			shares = []float64{leastCore, mostCore}
		}
		for _, core := range shares {
			for _, inner := range []float64{leastInner, mostInner} {
				p := proportion{core, inner}
				rho := Density(f.at(p).weight * 4 / math.Pi)
				least, most = min(least, rho), max(most, rho)
			}
		}
	}
	return least, most
}
