package physics

import (
	"fmt"
	"math"
)

// A Wrap is a round wire wound onto a core or onto another wrap.
type Wrap struct {
	Wire Measured[Length] // diameter
	// Pitch is the distance from turn to turn along the string; all zero for
	// turns that touch.
	Pitch Measured[Length]
	Of    Material
}

// A Build is what a string is made of: a core and its wraps, the innermost first;
// no wraps for a plain string. Each wrap lies on the crests of what is under it.
// Wire that was rolled flat or ground after winding is not covered: we know of no
// published formula for what is left of it.
type Build struct {
	Core  Core
	Wraps []Wrap
}

// thickestWrap is how many times thicker than what it is wound on a wire may be.
// It is judgement: thicker ones do not lie close.
const thickestWrap = 2

// seatOfWraps is the input that stands for where the turns of wraps lie on a hexagon.
const seatOfWraps = "seat of the wraps"

// UnitWeight is that of the core plus, for each wrap, ρ·πd²/4 times the length of
// its helix per length of string, √((π(D+d))²+p²)/p, where D is the diameter under
// it, d the wire's and p the pitch. Turns that touch have p = d/cos θ, θ the angle
// by which they lean, which makes it ρπ²((D+2d)²−D²)/16.
//
// Terms of the budget: "core"; "wrap" and "pitch", numbered from the innermost
// where there are several; "density of" each material, one for all parts made of
// it; and on a hexagonal core "seat of the wraps". The error is an *InputError.
func (b Build) UnitWeight() (Result[UnitWeight], error) {
	if err := b.check(); err != nil {
		return Result[UnitWeight]{}, err
	}
	size := float64(b.Core.Size.Value)
	area := b.Core.Shape.area() * size * size
	mu := float64(b.Core.Of.Density.Value) * area
	perCore := 2 * mu / size // ∂µ/∂size
	var densities densityTerms
	densities.add(b.Core.Of, area)

	var terms []Term
	at, loose := b.Core.Shape.seat()
	perUnder := 0.0 // ∂µ/∂D of all wraps yet to come inwards
	perWire := make([]float64, len(b.Wraps))
	under := b.under(at)
	for i, w := range b.Wraps {
		h := w.helix(under[i])
		rho := float64(w.Of.Density.Value)
		mu += rho * h.volume
		densities.add(w.Of, h.volume)
		perWire[i] += rho * h.perWire
		for j := range i {
			perWire[j] += 2 * rho * h.perUnder
		}
		perUnder += rho * h.perUnder
		if w.Pitch.Value > 0 {
			terms = append(terms, b.term(WrapPitch, i, w.Pitch, rho*h.perPitch))
		}
	}
	for i, w := range b.Wraps {
		terms = append(terms, b.term(WrapWire, i, w.Wire, perWire[i]))
	}
	terms = append(terms, slope(string(CoreSize), b.Core.Size, perCore+at*perUnder))
	terms = append(terms, densities...)
	if seat := loose * size; seat > 0 && len(b.Wraps) > 0 {
		terms = append(terms, Term{
			Input: seatOfWraps, Said: "round over the hexagon, or along its flats",
			U: seat, Sensitivity: perUnder, Assumed: true, Even: true,
		})
	}
	r, err := conclude(string(StringWeight), UnitWeight(mu), weightUnitOf(b.Core.Size.Unit), terms...)
	if err == nil {
		r.Model = b.model()
	}
	return r, err
}

// Outside is the diameter over all wraps, over the corners of a bare hexagonal
// core. Terms of the budget: "core" and "wrap". The error is an *InputError.
func (b Build) Outside() (Result[Length], error) {
	if err := b.check(); err != nil {
		return Result[Length]{}, err
	}
	over := b.Core.Shape.over()
	sources := []source{from(string(CoreSize), b.Core.Size)}
	for i, w := range b.Wraps {
		wire := from(string(WrapWire), w.Wire)
		if len(wire.terms) > 0 {
			name := b.name(string(WrapWire), i)
			wire.terms[0].Input, wire.model.Inputs[0].Name = name, name
		}
		sources = append(sources, wire)
	}
	d := derive(func(x ...float64) float64 {
		d := over * x[0]
		for _, wire := range x[1:] {
			d += 2 * wire
		}
		return d
	}, sources...)
	return concludeDerived("outside diameter", d, b.Core.Size.Unit)
}

// under lists the diameter under each wrap, in metres, that of the core being so
// many times its size.
func (b Build) under(core float64) []float64 {
	at := make([]float64, 0, len(b.Wraps))
	d := core * float64(b.Core.Size.Value)
	for _, w := range b.Wraps {
		at = append(at, d)
		d += 2 * float64(w.Wire.Value)
	}
	return at
}

// name numbers the wraps where there are several.
func (b Build) name(part string, i int) string {
	if len(b.Wraps) == 1 {
		return part
	}
	return fmt.Sprintf("%s %d", part, i+1)
}

// term is that of a part of a wrap, by its name.
func (b Build) term(part Role[Length], i int, m Measured[Length], by float64) Term {
	t := slope(string(part), m, by)
	t.Input = b.name(string(part), i)
	return t
}

func (b Build) check() error {
	if err := b.Core.check(); err != nil {
		return err
	}
	under := b.under(b.Core.Shape.over())
	for i, w := range b.Wraps {
		if err := w.check(b.name(string(WrapWire), i), b.name(string(WrapPitch), i), Length(under[i])); err != nil {
			return err
		}
	}
	return nil
}

// check says whether the wrap can lie on a diameter; wire and pitch are its names.
func (w Wrap) check(wire, pitch string, under Length) error {
	if err := w.Wire.check(wire); err != nil {
		return err
	}
	if err := w.Of.Density.check("density of " + wire); err != nil {
		return err
	}
	if w.Wire.Value > thickestWrap*under {
		return &InputError{What: wire, Why: fmt.Sprintf("of %s is too thick to be wound on %s",
			Format(w.Wire.Value, w.Wire.Unit, 4), Format(under, w.Wire.Unit, 4)),
			Fix: "name the wraps from the innermost on, each by the diameter of its wire"}
	}
	if w.Pitch == (Measured[Length]{}) {
		return nil
	}
	if err := w.Pitch.check(pitch); err != nil {
		return err
	}
	if w.Pitch.Value < w.Wire.Value {
		return &InputError{What: pitch, Why: fmt.Sprintf("of %s is less than the wire's diameter of %s",
			Format(w.Pitch.Value, w.Pitch.Unit, 4), Format(w.Wire.Value, w.Pitch.Unit, 4)),
			Fix: "it is the distance from turn to turn: leave it out where turns touch"}
	}
	return nil
}

// A helix is the wire of a wrap per length of string: its volume in m², and the
// slopes of that by wire, pitch and the diameter under it. Where turns touch, that
// by the wire takes the pitch along.
type helix struct{ volume, perWire, perPitch, perUnder float64 }

func (w Wrap) helix(under float64) helix {
	d, p := float64(w.Wire.Value), float64(w.Pitch.Value)
	if p == 0 {
		return closeHelix(d, under)
	}
	around := math.Pi * (under + d)
	turn := math.Hypot(around, p)
	area := math.Pi / 4 * d * d
	perUnder := area * math.Pi * around / (turn * p)
	return helix{
		volume:   area * turn / p,
		perWire:  math.Pi/2*d*turn/p + perUnder,
		perPitch: -area * around * around / (turn * p * p),
		perUnder: perUnder,
	}
}

// closeHelix is the helix of turns that touch.
func closeHelix(d, under float64) helix {
	const c = math.Pi * math.Pi / 4
	return helix{volume: c * d * (under + d), perWire: c * (under + 2*d), perUnder: c * d}
}

// densityTerms are the terms of the densities: what is of one material has one
// density, whatever it is.
type densityTerms []Term

func (ts *densityTerms) add(m Material, volume float64) {
	t := slope("density of "+m.Name, m.Density, volume)
	for i := range *ts {
		if (*ts)[i].Input == t.Input {
			(*ts)[i].Sensitivity += t.Sensitivity
			return
		}
	}
	*ts = append(*ts, t)
}
