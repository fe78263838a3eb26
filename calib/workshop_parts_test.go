package calib_test

import (
	"errors"
	"math"

	"pluckweigh/physics"
)

// hangs are the routes by several loads.
func hangs() []route {
	return []route{
		{name: "hang, ends and gravity told", measure: func(b bench) outcome { p := b.piece(); return b.hung(p, b.ends(&p), 1e-3) }},
		{name: "hang, ends unknown", even: true, measure: func(b bench) outcome { return b.hung(b.piece(), physics.EndsUnknown, 1e-3) }},
		{name: "hang, tolerances not given", measure: func(b bench) outcome { return b.hung(b.piece(), physics.EndsUnknown, 0) }},
		{name: "friction of a rig", even: true, measure: func(b bench) outcome { return b.dragged() }},
	}
}

// dragged is what a rig takes off the next load that is hung, told by five that were
// added and four that were taken off again: that load has moved last either way.
func (b bench) dragged() outcome {
	p := b.piece()
	held, r := b.ends(&p), b.anyRecorder()
	steel, err := physics.ParseMaterial("steel")
	if err != nil {
		b.t.Fatal(err)
	}
	g := b.between(9.78065, 9.83265)
	rig := physics.Rig{Clock: r.clock.Relative(), Ends: held, Core: steel, Length: b.rule(p),
		Gravity: stated(b, physics.LocalGravity, physics.Acceleration(g), 1e-3, physics.MetrePerSecondSquared)}
	loss, rubs := b.between(-1, 1), b.between(0, 0.5)
	for {
		var up, down []physics.Hang
		for i := range 5 {
			weighs := p.pull*float64(i+1)/5 + loss
			load := b.mass(physics.HungLoad, weighs/g, 1e-3) // the same weight up and down
			heard := func(lost float64) physics.Hang {
				s := b.stretch(b.heard(p.pulled(weighs-lost), r), r, rig.Length, held)
				return physics.Hang{Load: load, F0: s.F0, B: s.B}
			}
			up = append(up, heard(loss+rubs))
			if i < 4 {
				down = append(down, heard(loss-rubs))
			}
		}
		d, err := rig.Drag(up, down)
		var input *physics.InputError
		if errors.As(err, &input) {
			continue // by chance they lie as on no line, and are hung again
		}
		return outcomeOf(b, loss+b.between(-rubs, rubs), d.Loss, err)
	}
}

// hung is five masses known so well on a hanger that nobody weighed, the heaviest
// pulling as the piece is pulled.
func (b bench) hung(p piece, held physics.Ends, relative float64) outcome {
	r := b.anyRecorder()
	steel, err := physics.ParseMaterial("steel")
	if err != nil {
		b.t.Fatal(err)
	}
	rig := physics.Rig{Clock: r.clock.Relative(), Ends: held, Gravity: physics.AnyGravity(), Core: steel}
	rig.Length = b.rule(p)
	g, hanger := b.between(9.78065, 9.83265), b.between(-1, 1)
	if held != physics.EndsUnknown { // all is told, gravity too
		rig.Gravity = stated(b, physics.LocalGravity, physics.Acceleration(g), 1e-3, physics.MetrePerSecondSquared)
	}
	set := 1.0 // what all the weights are off by
	if relative > 0 {
		rig.Scale = physics.Relative{U: b.scattered(2e-4, 1e-3)}
		set = b.around(1, rig.Scale.U)
	}
	var loads []physics.Hang
	for i := range 5 {
		pull := p.pull * float64(i+1) / 5
		s := b.stretch(b.heard(p.pulled(pull), r), r, rig.Length, held)
		loads = append(loads, physics.Hang{Load: b.mass(physics.HungLoad, set*(pull-hanger)/g, relative), F0: s.F0, B: s.B})
	}
	b.Shuffle(len(loads), func(i, j int) { loads[i], loads[j] = loads[j], loads[i] })
	h, err := rig.UnitWeight(loads)
	return outcomeOf(b, p.mu, h.UnitWeight, err)
}

// builds are the routes from what a string is made of.
func builds() []route {
	return []route{
		{name: "plain wire", measure: func(b bench) outcome { return b.wire(false) }},
		{name: "plain wire, tolerances not given", even: true, measure: func(b bench) outcome { return b.wire(true) }},
		{name: "wound on a round core", measure: func(b bench) outcome { return b.wound(physics.Round, false) }},
		{name: "wound on a round core, tolerances not given", even: true, measure: func(b bench) outcome { return b.wound(physics.Round, true) }},
		{name: "wound on a hexagonal core", measure: func(b bench) outcome { return b.wound(physics.Hexagonal, false) }},
		{name: "wound on a hexagonal core, tolerances not given", even: true, measure: func(b bench) outcome { return b.wound(physics.Hexagonal, true) }},
	}
}

// diameter is one by a micrometer, with what is said of that or with what is assumed.
func (b bench) diameter(r physics.Role[physics.Length], truth float64, say bool) physics.Measured[physics.Length] {
	units := []physics.Length{physics.Millimetre, physics.Inch, physics.Thou}
	if say {
		return stated(b, r, physics.Length(truth), physics.Length(b.scattered(1e-6, 4e-6)), units...)
	}
	return assumed(b, r, physics.Length(truth), physics.Length(0.01e-3/math.Sqrt(3)), evenly, units...)
}

// density is the true one of what is sold under a name.
func (b bench) density(name string) (physics.Material, float64) {
	m, err := physics.ParseMaterial(name)
	if err != nil {
		b.t.Fatal(err)
	}
	return m, b.around(float64(m.Density.Value), float64(m.Density.U))
}

func (b bench) wire(bare bool) outcome {
	of, rho := b.density("steel")
	d := b.between(0.2e-3, 0.6e-3)
	w, err := physics.PlainWire{Gauge: b.diameter(physics.Gauge, d, !bare), Density: of.Density}.UnitWeight()
	return outcomeOf(b, rho*math.Pi/4*d*d, w, err)
}

// wound is one wrap or two on a core, close or at a pitch.
func (b bench) wound(shape physics.Shape, bare bool) outcome {
	steel, rho := b.density("steel")
	s := b.between(0.3e-3, 0.6e-3)
	build := physics.Build{Core: physics.Core{Shape: shape, Size: b.diameter(physics.CoreSize, s, !bare), Of: steel}}
	under, area := s, math.Pi/4*s*s
	if shape == physics.Hexagonal {
		area = math.Sqrt(3) / 2 * s * s
		// The turns are as long as on a circle around the corners, or as on one of the
		// hexagon's perimeter where they are drawn tight, or anything between.
		under = s * b.between(2*math.Sqrt(3)/math.Pi, 2/math.Sqrt(3))
	}
	mu := rho * area
	of, wrapRho := b.density([]string{"nickel-200", "bronze-80/20", "phosphor-bronze"}[b.IntN(3)])
	for range 1 + b.IntN(2) {
		d := b.between(0.15e-3, 0.5e-3)
		w := physics.Wrap{Wire: b.diameter(physics.WrapWire, d, !bare), Of: of}
		per := math.Pi * (under + d) / d // wire per string; the lean of turns that touch cancels
		if b.coin() {
			pitch := d * b.between(1.02, 1.2)
			if bare {
				w.Pitch = assumed(b, physics.WrapPitch, physics.Length(pitch), physics.Length(0.01*pitch), normal, physics.Millimetre)
			} else {
				w.Pitch = stated(b, physics.WrapPitch, physics.Length(pitch), physics.Length(0.002*pitch), physics.Millimetre)
			}
			if w.Pitch.Value < w.Wire.Value {
				w.Pitch.Value = w.Wire.Value // as it is refused otherwise
			}
			per = math.Hypot(math.Pi*(under+d), pitch) / pitch
		}
		mu += wrapRho * math.Pi / 4 * d * d * per
		under += 2 * d
		build.Wraps = append(build.Wraps, w)
	}
	w, err := build.UnitWeight()
	return outcomeOf(b, mu, w, err)
}

// lengths are the routes to a speaking length by sound.
func lengths() []route {
	return []route{
		{name: "length from frets by the scale", measure: func(b bench) outcome { return b.fretted(true) }},
		{name: "length from frets apart", measure: func(b bench) outcome { return b.fretted(false) }},
		{name: "length from a known weight", measure: func(b bench) outcome {
			p := b.piece()
			r := b.anyRecorder()
			s := b.stretch(b.heard(p, r), r, b.rule(p), physics.EndsPinned)
			pull := stated(b, physics.Pull, physics.Force(p.pull), physics.Force(b.scattered(5e-4, 5e-3)*p.pull), physics.Newton)
			l, err := physics.Loaded{UnitWeight: b.weight(p, b.scattered(5e-4, 5e-3)), Pull: pull, F0: s.F0, Clock: s.Clock}.Length()
			return outcomeOf(b, p.sounding(), l, err)
		}},
	}
}

// fretted is a string heard at two frets, which pressing down does not stretch alike.
// A saddle lies some millimetres behind where the scale ends.
func (b bench) fretted(byScale bool) outcome {
	p := b.piece()
	r := b.anyRecorder()
	scale := p.length
	saddle := b.between(-1e-3, 4e-3)
	low := b.IntN(4)
	high := low + 5 + b.IntN(15)
	at := func(fret int) piece {
		q := p
		q.length = scale*math.Exp2(-float64(fret)/12) + saddle
		return q
	}
	f0 := func(fret int) physics.Measured[physics.Frequency] {
		return b.stretch(b.heard(at(fret), r), r, b.rule(p), 0).F0
	}
	s := physics.Fretted{Low: low, High: high, AtLow: f0(low), AtHigh: f0(high), Uneven: physics.UnevenAssumed()}
	uneven := b.around(1, s.Uneven.U)
	s.AtHigh.Value *= physics.Frequency(uneven)
	s.AtHigh.U *= physics.Frequency(uneven)
	truth := at(low).sounding()
	if byScale {
		s.Scale = b.rule(p)
		truth = at(0).sounding()
	} else {
		apart := at(low).length - at(high).length
		s.Between = stated(b, physics.FretDistance, physics.Length(apart), physics.Length(b.scattered(0.2e-3, 1e-3)), physics.Millimetre, physics.Inch)
	}
	l, err := s.Length()
	return outcomeOf(b, truth, l, err)
}
