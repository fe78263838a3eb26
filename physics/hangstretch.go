package physics

import "math"

// A string that is pulled harder is longer, and what is between its ends weighs less
// for it: µ goes with 1/(1+T/EA), so that f0² rises a little faster than the load. At
// half a per cent of strain, where steel strings are, that is as much as the rest of a
// good measurement.

// compliance is 1/(EA) of the string, strain per newton, from a line of f0² against
// the load and from its stiffness as B·f0². A round core of stiffness EI has
// EA = √(4πE·EI), a hexagonal one within half a per cent of it; where no stiffness was
// heard the string is taken to be plain wire. Where the core's material was not named
// it is taken for steel, and anything from no stretch to twice its for possible.
func (r Rig) compliance(l line, stiff Measured[Inharmonicity]) (s, u float64) {
	// What a wrap adds to the stiffness of a core, a tenth or two of it
	// (judgement), enters EA by its root.
	const wrap = 0.1
	core, named := r.Core, r.Core.Modulus.Value > 0
	if !named {
		core = musicWire()
	}
	e := float64(core.Modulus.Value)
	area := math.Sqrt(4*math.Pi*float64(stiff.Value)/(math.Pi*math.Pi*e*l.slope)) * float64(r.Length.Value)
	relative := math.Hypot(wrap, core.Modulus.Relative()/2)
	if stiff.Assumed || !(area > 0) {
		area = 1 / (4 * float64(r.Length.Value*r.Length.Value) * l.slope * float64(core.Density.Value))
		relative = 1 / math.Sqrt(3)
	}
	if !named {
		relative = max(relative, 1/math.Sqrt(3))
	}
	s = 1 / (e * area)
	return s, relative * s
}

// relax brings f0² under every load to what it would be if the string were stretched
// as it is under the heaviest.
func (f *frame) relax(r Rig, l line, stiff Measured[Inharmonicity]) {
	s, u := r.compliance(l, stiff)
	f.compliance, f.uCompliance = s, u
	heaviest := f.points[len(f.points)-1].y / l.slope
	said := "core of " + r.Core.Name
	if r.Core.Modulus.Value == 0 {
		said = "core taken for steel"
	}
	said += ", " + strain(s*heaviest) + " under the heaviest load"
	relaxed := func(points []point, s float64) []point {
		out := make([]point, len(points))
		for i, p := range points {
			g := (1 + s*heaviest) / (1 + s*f.points[i].y/l.slope)
			p.y, p.uy = p.y*g, p.uy*g
			out[i] = p
		}
		return out
	}
	more := relaxed(f.points, s+u)
	for i := range f.shared {
		f.shared[i].moved = relaxed(f.shared[i].moved, s)
	}
	f.pinned = relaxed(f.pinned, s)
	f.points = relaxed(f.points, s)
	f.shared = append(f.shared, shared{Term{Input: "stretch", Said: said, Assumed: r.Core.Modulus.Value == 0}, more})
}

func strain(e float64) string { return significant(100*e, 2) + " % longer" }
