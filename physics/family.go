package physics

import (
	"math"
	"slices"
)

// A family is all builds of the same parts: their sizes are open.
type family struct {
	shape Shape
	parts []Material // the core, then the wraps
	first []int      // for each part the first that is of the same material
	prior float64
}

func newFamily(s Shape, parts []Material, prior float64) family {
	f := family{shape: s, parts: parts, prior: prior}
	for _, m := range parts {
		f.first = append(f.first, slices.IndexFunc(parts, func(p Material) bool { return p.Name == m.Name }))
	}
	return f
}

// usual lists the materials of the names given.
func usual(names ...string) []Material {
	var out []Material
	for _, m := range Materials() {
		if slices.Contains(names, m.Name) {
			out = append(out, m)
		}
	}
	return out
}

// What cores and wraps are usually made of: common practice, no source. Cores of a
// hexagonal section are drawn of hard wire only.
func usualCores(s Shape) []Material {
	if s == Hexagonal {
		return usual("music wire", "stainless 302")
	}
	return usual("music wire", "stainless 302", "nylon", "fluorocarbon", "gut")
}

func usualWraps() []Material {
	return usual("nickel-plated steel", "stainless 430", "stainless 304", "nickel 200", "phosphor bronze", "bronze 80/20", "copper")
}

// or is the first list unless it is empty.
func or[T any](first, second []T) []T {
	if len(first) > 0 {
		return first
	}
	return second
}

// families lists what is looked at. Before anything is measured, every number of
// wraps is as likely as any other; so is every shape, and every material of each
// part.
func (k Known) families() []family {
	var out []family
	counts := or(k.Wraps, []int{0, 1, 2})
	for _, wraps := range counts {
		shapes := or(k.Shapes, []Shape{Round, Hexagonal})
		if wraps == 0 {
			shapes = or(k.Shapes, []Shape{Round})
		}
		for _, s := range shapes {
			cores := or(k.CoreOf, usualCores(s))
			if wraps == 0 {
				cores = or(k.CoreOf, Materials())
			}
			all := [][]Material{}
			for _, m := range cores {
				all = append(all, []Material{m})
			}
			for range wraps {
				var longer [][]Material
				for _, parts := range all {
					for _, m := range or(k.WrapOf, usualWraps()) {
						longer = append(longer, append(slices.Clone(parts), m))
					}
				}
				all = longer
			}
			for _, parts := range all {
				out = append(out, newFamily(s, parts, 1/float64(len(counts)*len(shapes)*len(all))))
			}
		}
	}
	return out
}

// A proportion is how a build of a family divides the outside diameter: the
// core's share of it, over the corners, and the inner wrap's share of the depth of
// both.
type proportion struct{ core, inner float64 }

// wires are the diameters of the wraps' wires, over the outside diameter.
func (p proportion) wires(n int) (d [MostWraps]float64) {
	depth := (1 - p.core) / 2
	switch n {
	case 1:
		d[0] = depth
	case 2:
		d[0], d[1] = p.inner*depth, (1-p.inner)*depth
	}
	return d
}

// pitch is that of the outer wrap, its turns touching, over the outside diameter.
func (f *family) pitch(p proportion) float64 {
	n := len(f.parts) - 1
	d := p.wires(n)[n-1]
	seat, _ := f.shape.seat()
	lean := d / (math.Pi * (1 - d - p.core*(1-seat/f.shape.over()))) // of its turns: the sine
	return d / math.Sqrt(1-lean*lean)
}

// model is what a family makes of a proportion, for an outside diameter of one.
type model struct {
	weight float64 // unit weight
	v      float64 // relative variance of it, from densities and seat
}

// at is the model of a proportion; all wraps are close.
func (f *family) at(p proportion) model {
	wires := p.wires(len(f.parts) - 1)
	size := p.core / f.shape.over()
	mass := float64(f.parts[0].Density.Value) * f.shape.area() * size * size
	of := [1 + MostWraps]float64{mass} // what is of each material
	seat, loose := f.shape.seat()
	under, perUnder := seat*size, 0.0
	for i := 1; i < len(f.parts); i++ {
		h := closeHelix(wires[i-1], under)
		rho := float64(f.parts[i].Density.Value)
		mass += rho * h.volume
		of[f.first[i]] += rho * h.volume
		perUnder += rho * h.perUnder
		under += 2 * wires[i-1]
	}
	loose *= perUnder * size / mass
	v := loose * loose
	for i, m := range f.parts {
		u := of[i] / mass * m.Density.Relative()
		v += u * u
	}
	return model{mass, v}
}

// wrapStiffening is the relative standard uncertainty of a wound string's stiffness
// from its wraps. That is "mainly" the core's (Zollner, Physics of the Electric
// Guitar, 1.2), and of piano strings it was found that wraps add "somewhat" to it
// (Inharmonicity of piano bass strings, J. Acoust. Soc. Am., abstract). No figure is
// known to us: some per cent are judged.
const wrapStiffening = 0.03

// play is the relative standard uncertainty of the stiffness, for exact sizes.
func (f *family) play() float64 {
	u := f.parts[0].Modulus.Relative()
	if len(f.parts) > 1 {
		u = math.Hypot(u, wrapStiffening)
	}
	return u
}

// stiffness is E·I of the core for an outside diameter of one.
func (f *family) stiffness(p proportion) float64 {
	return float64(f.parts[0].Modulus.Value) * f.shape.moment() * math.Pow(p.core/f.shape.over(), 4)
}

// possible tells whether wires of these proportions can be wound, and are of
// sizes that exist, on a string of the outside diameter given.
func (f *family) possible(p proportion, outside Length) bool {
	n := len(f.parts) - 1
	fine, thick := WrapWire.Range()
	under := p.core
	wires := p.wires(n)
	for _, d := range wires[:n] {
		if d > thickestWrap*under || Length(d)*outside < fine || Length(d)*outside > thick {
			return false
		}
		under += 2 * d
	}
	fine, thick = CoreSize.Range()
	size := Length(p.core/f.shape.over()) * outside
	return fine <= size && size <= thick
}
