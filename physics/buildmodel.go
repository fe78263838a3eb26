package physics

// model is what the unit weight of a build is computed by.
func (b Build) model() Model {
	inputs := []Input{CoreSize.input(b.Core.Size)}
	// add adds an input, one for all parts that have its name, and tells its place.
	add := func(in Input, name string) int {
		in.Name = name
		for i, other := range inputs {
			if other.Name == name {
				return i
			}
		}
		inputs = append(inputs, in)
		return len(inputs) - 1
	}
	density := func(m Material) int {
		name := "density of " + m.Name
		return add(Role[Density](name).input(m.Density), name)
	}
	core := density(b.Core.Of)
	type place struct{ wire, pitch, density int } // of a wrap's inputs; pitch 0 where turns touch
	var places []place
	for i, w := range b.Wraps {
		wire := b.name(string(WrapWire), i)
		p := place{wire: add(WrapWire.input(w.Wire), wire), density: density(w.Of)}
		if w.Pitch.Value > 0 {
			p.pitch = add(WrapPitch.input(w.Pitch), b.name(string(WrapPitch), i))
		}
		places = append(places, p)
	}
	shape := b.Core.Shape
	at, loose := shape.seat()
	seat := add(Input{Distribution: Rectangular, U: loose * float64(b.Core.Size.Value)}, seatOfWraps)
	return Model{Inputs: inputs, F: func(x []float64) float64 {
		mu := x[core] * shape.area() * x[0] * x[0]
		under := at*x[0] + x[seat]
		for _, p := range places {
			w := Wrap{Wire: Measured[Length]{Value: Length(x[p.wire])}}
			if p.pitch > 0 {
				w.Pitch.Value = Length(x[p.pitch])
			}
			mu += x[p.density] * w.helix(under).volume
			under += 2 * x[p.wire]
		}
		return mu
	}}
}
