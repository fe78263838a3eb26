package physics

import (
	"fmt"
	"math"
)

// A Drag is by how much less a string pulls than what hangs on a rig: the offset of the
// line through several loads, turned round. It holds what the rig bears or adds, such as
// a hanger that was not weighed (below zero), and what rubs.
type Drag struct {
	// Loss is the force. Terms of the budget: those of Hung.Offset, and "way of the load"
	// where loads were heard on the way down too.
	Loss Result[Force]
	// Up is the line as loads were added, and Down, nil where none was heard, as they
	// were taken off again.
	Up, Down *Hung
	// Rubs is by how much the string pulls less than half-way while loads are added, and
	// more while they are taken off; zero where Down is nil.
	Rubs Measured[Force]
}

// Drag is what the rig takes off its loads, told by loads that are added, and if wanted
// by loads that are taken off again: a pulley or an edge that rubs holds against either.
// A load that is hung later has moved last one way or the other, so that the loss is taken
// half-way, and anything between the two for equally likely. The error is an *InputError:
// that of UnitWeight, loads of which no line says that they keep to it, or a friction
// that grows with the load and so is no one force.
func (r Rig) Drag(up, down []Hang) (Drag, error) {
	rising, err := r.straight("loads", up)
	if err != nil {
		return Drag{}, err
	}
	d := Drag{Up: &rising}
	offset, terms := float64(rising.Offset.Value), rising.Offset.Budget
	if len(down) > 0 {
		falling, err := r.straight("loads taken off", down)
		if err != nil {
			return Drag{}, err
		}
		d.Down = &falling
		if err := d.oneForce(); err != nil {
			return Drag{}, err
		}
		terms = meanTerms(rising.Offset, falling.Offset)
		half := float64(falling.Offset.Value-rising.Offset.Value) / 2
		offset += half
		d.Rubs = Measured[Force]{Value: Force(half), U: d.uRubs(), Unit: rising.Offset.Unit}
		terms = append([]Term{{Input: "way of the load", Said: "anywhere between " + Format(-d.Rubs.Value, d.Rubs.Unit, 2) + " and " + Format(d.Rubs.Value, d.Rubs.Unit, 2),
			U: math.Abs(half) / math.Sqrt(3), Sensitivity: 1, Even: true}}, terms...)
	}
	var turned []Term
	for _, t := range terms {
		t.Sensitivity, t.Share = -t.Sensitivity, 0
		turned = append(turned, t)
	}
	d.Loss, err = concludeChange("friction", derived{value: -offset, terms: turned}, rising.Offset.Unit)
	return d, err
}

// meanTerms are the terms of the mean of two offsets. Most of what makes them uncertain
// they have in common, the weights too: the mean is taken for no better known than both
// are on average, as if all were. What it is owed to is that of the worse.
func meanTerms(a, b Result[Force]) (terms []Term) {
	if a.U < b.U {
		a, b = b, a
	}
	for _, t := range a.Budget {
		t.Sensitivity *= float64((a.U + b.U) / (2 * a.U))
		terms = append(terms, t)
	}
	return terms
}

// uRubs is the standard uncertainty of Rubs: of what both lines share nothing is left
// in their difference, so that each load's own errors are all.
func (d Drag) uRubs() Force {
	v := 0.0
	for _, h := range []*Hung{d.Up, d.Down} {
		for _, t := range h.besides(float64(h.Offset.Value)) {
			v += t.Contribution() * t.Contribution()
		}
	}
	return Force(math.Sqrt(v) / 2)
}

// straight is the line of loads that keep to it.
func (r Rig) straight(what string, hangs []Hang) (Hung, error) {
	h, err := r.UnitWeight(hangs)
	if err != nil {
		return Hung{}, err
	}
	bad := func(why, fix string) (Hung, error) { return Hung{}, &InputError{What: what, Why: why, Fix: fix} }
	switch {
	case h.Free < 1:
		return bad("are two, which always have a line", "hang a third, better five, from light to heavy")
	case h.Falls > 0:
		return Hung{}, h.misfit()
	case h.Odd >= 0:
		return bad("do not belong together: "+h.Points[h.Odd].Load.String()+" lies off the line of the others", "check that load and its take, or leave it out")
	case h.Bent != 0:
		return bad("follow a curve: the rig takes another force off each", "find what binds or gives way, or hang lighter loads only")
	}
	return h, nil
}

// oneForce refuses loads that are not held against by one force.
func (d Drag) oneForce() error {
	const beyond = 3 // standard uncertainties
	up, uUp := d.Up.Slope()
	down, uDown := d.Down.Slope()
	if d := down/up - 1; math.Abs(d) > beyond*math.Hypot(uUp/up, uDown/down) {
		return &InputError{What: "loads", Why: fmt.Sprintf("pull by %s %% of themselves otherwise on the way down than on the way up: that is no one force", significant(100*math.Abs(d), 2)),
			Fix: "let them hang free of edges, or over a larger pulley that turns easily"}
	}
	if half := (d.Down.Offset.Value - d.Up.Offset.Value) / 2; half < -beyond*d.uRubs() {
		return &InputError{What: "loads", Why: "pull less on the way down than on the way up, by " + Format(-2*half, d.Up.Offset.Unit, 2) + ", as no friction makes them",
			Fix: "check which takes were heard as loads were added, and which as they were taken off"}
	}
	return nil
}
