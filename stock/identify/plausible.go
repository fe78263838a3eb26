package identify

import (
	"math"
	"sync"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A mixture of normal distributions that know all traits; weights sum to 1.
type mixture []component

type component struct {
	normal
	weight float64
}

// logDensity is the logarithm of the density of a measurement, over some of its traits.
func (m mixture) logDensity(x *normal, over mask) float64 {
	if _, n := over.list(); n == 0 {
		return 0
	}
	var logs []float64
	for i := range m {
		logs = append(logs, math.Log(m[i].weight)+m[i].logLikelihood(x, over))
	}
	return logSum(logs)
}

// given is the mixture after a measurement. What has hardly a share of it is left out.
func (m mixture) given(x *normal) mixture {
	over := m[0].and(x.mask)
	logs := make([]float64, len(m))
	for i := range m {
		logs[i] = math.Log(m[i].weight) + m[i].logLikelihood(x, over)
	}
	all := logSum(logs)
	const negligible = 1e-3 // of the likeliest would hardly move an expectation
	most := math.Inf(-1)
	for _, l := range logs {
		most = max(most, l)
	}
	var out mixture
	sum := 0.0
	for i := range m {
		if logs[i] < most+math.Log(negligible) {
			continue
		}
		w := math.Exp(logs[i] - all)
		sum += w
		out = append(out, component{m[i].given(x), w})
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

// logSum is the logarithm of a sum of what is given by its logarithms.
func logSum(logs []float64) float64 {
	most := math.Inf(-1)
	for _, l := range logs {
		most = max(most, l)
	}
	if math.IsInf(most, -1) {
		return most
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - most)
	}
	return most + math.Log(sum)
}

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
	powers := vector{2, 1, 4} // of the size
	c := component{normal: normal{mask: mask{true, true, true}}, weight: 1}
	c.mean = vector{math.Log(float64(w.Value)), math.Log(1e-3), math.Log(float64(ei.Value))}
	u := shareWidth / math.Sqrt(12) // rectangular
	// By how much the weight goes with the share: it changes by about a quarter from a
	// thin core to a thick one, in either direction.
	own := vector{sq(w.Relative()) + sq(0.25*u), sq(1e-6), sq(ei.Relative()) + sq(4*u)}
	for i := range traitCount {
		c.mean[i] += powers[i] * size
		c.cov[i][i] = own[i]
		for j := range traitCount {
			c.cov[i][j] += powers[i] * powers[j] * sq(outsideSpread)
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
