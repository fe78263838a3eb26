package identify

import (
	"math"
	"sync"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// plausible is what a string of a kind may be of which nothing is known but that it can
// be built.
func plausible(k traits.Kind) mixture {
	switch k {
	case traits.Plain:
		return plainStrings()
	case traits.Wound:
		return woundStrings()
	}
	return anyStrings()
}

// Outside diameters of strings are spread over octaves: from 0.17 to 3.9 mm, 19 of 20
// (judgement).
const (
	usualOutside  = 0.8e-3
	outsideSpread = 0.8 // of the logarithm, standard deviation
)

// The proportions of wound strings that are looked at, and how wide a stretch each one
// stands for.
var (
	coreShares = []float64{0.15, 0.18, 0.21, 0.25, 0.3, 0.36, 0.43, 0.5, 0.58, 0.67, 0.78, 0.9} // of the outside
	shareStep  = math.Log(1.18)
)

var plainStrings = sync.OnceValue(func() mixture {
	var m mixture
	for _, of := range physics.Materials() {
		m.add(physics.Build{Core: physics.Core{Size: physics.Stated[physics.Length](1e-3, 0), Of: of}}, 0)
	}
	return m.even()
})

// A second wrap changes what the unit weight and the stiffness can be by little: the
// core's share says nearly all.
var woundStrings = sync.OnceValue(func() mixture {
	wraps := named("nickel-plated steel", "stainless 304", "stainless 430", "nickel 200", "phosphor bronze", "bronze 80/20", "copper")
	cores := map[physics.Shape][]physics.Material{
		physics.Round:     named("music wire", "nylon"),
		physics.Hexagonal: named("music wire"),
	}
	var m mixture
	for _, shape := range []physics.Shape{physics.Round, physics.Hexagonal} {
		for _, of := range cores[shape] {
			for _, share := range coreShares {
				size := share * 1e-3
				over := share
				if shape == physics.Hexagonal {
					size *= math.Sqrt(3) / 2
				}
				core := physics.Core{Shape: shape, Size: physics.Stated(physics.Length(size), 0), Of: of}
				depth := (1 - over) / 2 * 1e-3
				for _, wire := range wraps {
					one := physics.Wrap{Wire: physics.Stated(physics.Length(depth), 0), Of: wire}
					half := physics.Wrap{Wire: physics.Stated(physics.Length(depth/2), 0), Of: wire}
					if !m.add(physics.Build{Core: core, Wraps: []physics.Wrap{one}}, shareStep) {
						m.add(physics.Build{Core: core, Wraps: []physics.Wrap{half, half}}, shareStep)
					}
				}
			}
		}
	}
	return m.even()
})

var anyStrings = sync.OnceValue(func() mixture {
	var m mixture
	for _, half := range []mixture{plainStrings(), woundStrings()} {
		for _, c := range half {
			c.weight /= 2
			m = append(m, c)
		}
	}
	return m
})

// sizePowers are those of a string's size that its traits go with, its build being the same.
var sizePowers = vector{2, 1, 4}

// add adds strings of all sizes that are built like one of a millimetre, the core's
// share of it being so uncertain (of its logarithm, full width); it tells whether that
// can be built.
func (m *mixture) add(b physics.Build, shareWidth float64) bool {
	w, err := b.UnitWeight()
	if err != nil {
		return false
	}
	ei, err := b.Core.Stiffness()
	if err != nil {
		return false
	}
	size := math.Log(usualOutside / 1e-3)
	c := component{normal: normal{mask: allTraits}, weight: 1}
	c.mean = vector{math.Log(float64(w.Value)), math.Log(1e-3), math.Log(float64(ei.Value))}
	u := shareWidth / math.Sqrt(12) // rectangular
	// By how much the weight goes with the share: it changes by about a quarter from a
	// thin core to a thick one, in either direction.
	own := vector{sq(w.Relative()) + sq(0.25*u), sq(1e-6), sq(ei.Relative()) + sq(4*u)}
	for i := range traitCount {
		c.mean[i] += sizePowers[i] * size
		c.cov[i][i] = own[i]
		for j := range traitCount {
			c.cov[i][j] += sizePowers[i] * sizePowers[j] * sq(outsideSpread)
		}
	}
	*m = append(*m, c)
	return true
}

// even gives all components the same weight.
func (m mixture) even() mixture {
	for i := range m {
		m[i].weight = 1 / float64(len(m))
	}
	return m
}

// named lists materials by their names.
func named(names ...string) (out []physics.Material) {
	for _, n := range names {
		m, err := physics.ParseMaterial(n)
		if err != nil {
			panic(err) // the names stand in this file
		}
		out = append(out, m)
	}
	return out
}

func sq(x float64) float64 { return x * x }
