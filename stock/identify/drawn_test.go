package identify

import (
	"fmt"
	"math"
	"math/rand/v2"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// A truth is what a string is.
type truth struct {
	kind                   traits.Kind
	weight, outside, stiff float64
}

// anything is a string drawn from what can be built: physics makes its weight of it,
// its sizes are continuous and its densities as uncertain as they are.
func anything(r *rand.Rand) truth {
	for {
		d := usualOutside * math.Exp(outsideSpread*r.NormFloat64())
		b := physics.Build{}
		vary := func(m physics.Material) physics.Material {
			m.Density.Value += physics.Density(r.NormFloat64()) * m.Density.U
			m.Modulus.Value += physics.Pressure(r.NormFloat64()) * m.Modulus.U
			return m
		}
		kind := traits.Kind(1 + r.IntN(2))
		if kind == traits.Plain {
			all := physics.Materials()
			b.Core = physics.Core{Size: physics.Stated(physics.Length(d), 0), Of: vary(all[r.IntN(len(all))])}
		} else {
			share := 0.14 * math.Exp(r.Float64()*math.Log(0.95/0.14))
			core := named("music wire", "nylon", "music wire")[r.IntN(3)]
			wire := named("nickel-plated steel", "stainless 304", "stainless 430", "nickel 200", "phosphor bronze", "bronze 80/20", "copper")[r.IntN(7)]
			b.Core = physics.Core{Size: physics.Stated(physics.Length(d*share), 0), Of: vary(core)}
			depth := physics.Length(d * (1 - share) / 2)
			w := physics.Wrap{Wire: physics.Stated(depth, 0), Of: vary(wire)}
			b.Wraps = []physics.Wrap{w}
			if depth > 2*b.Core.Size.Value {
				w.Wire.Value /= 2
				b.Wraps = []physics.Wrap{w, w}
			}
		}
		w, err := b.UnitWeight()
		if err != nil {
			continue
		}
		return truth{kind, float64(w.Value), d, float64(must(b.Core.Stiffness()).Value)}
	}
}

func stated[Q physics.Quantity](v, relative float64, r *rand.Rand) physics.Measured[Q] {
	return physics.Stated(Q(v*math.Exp(relative*r.NormFloat64())), Q(v*relative))
}

// stock is n strings whose weights lie within a range, of which not all is known of
// all.
func stock(n int, least, most float64, r *rand.Rand) (known []traits.String, real []truth) {
	for i := range n {
		tr := anything(r)
		for tr.weight < least || tr.weight > most {
			tr = anything(r)
		}
		real = append(real, tr)
		s := traits.String{Name: fmt.Sprint(i), Kind: tr.kind, Left: 1, UnitWeight: stated[physics.UnitWeight](tr.weight, 0.004, r)}
		if r.IntN(4) > 0 {
			s.Outside = stated[physics.Length](tr.outside, 0.005, r)
		}
		if r.IntN(3) == 0 {
			s.Stiffness = stated[physics.BendingStiffness](tr.stiff, 0.05, r)
		}
		if r.IntN(4) == 0 {
			s.Kind = traits.EitherKind
		}
		known = append(known, s)
	}
	return known, real
}

// evidenceOf is what measuring a string some way gives, at least its weight or its
// diameter.
func evidenceOf(t truth, r *rand.Rand) (physics.Evidence, traits.Kind) {
	var e physics.Evidence
	kind := t.kind
	if r.IntN(2) == 0 {
		kind = traits.EitherKind
	}
	what := 1 + r.IntN(3)
	if what&1 != 0 {
		e.UnitWeight = stated[physics.UnitWeight](t.weight, 0.002+0.03*r.Float64(), r)
		if r.IntN(2) == 0 {
			e.Stiffness = stated[physics.BendingStiffness](t.stiff*math.Exp(wear*r.NormFloat64()), 0.1, r)
			if r.Float64() < astray {
				e.Stiffness = stated[physics.BendingStiffness](t.stiff*math.Exp(10*r.Float64()-5), 0.1, r)
			}
		}
	}
	if what&2 != 0 {
		e.Outside = stated[physics.Length](t.outside, 0.003+0.01*r.Float64(), r)
	}
	return e, kind
}
