// Package identifytest makes the strings that package identify is tested with.
package identifytest

import (
	"math"
	"math/rand/v2"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Truth is what a string is, in SI units.
type Truth struct {
	Kind                     traits.Kind
	Weight, Outside, Bending float64
}

// OfPlain is a plain wire of a unit weight.
func OfPlain(weight, density, modulus float64) Truth {
	d := math.Sqrt(4 * weight / (math.Pi * density))
	return Truth{traits.Plain, weight, d, modulus * math.Pi / 64 * math.Pow(d, 4)}
}

// OfWound is a string of a unit weight with close round wrap, whose core is so thick:
// µ = ρπd²/4 + ρ'π²(D² − d²)/16.
func OfWound(weight, core, density, modulus, wrap float64) Truth {
	outside := math.Sqrt(core*core + 16*(weight-density*math.Pi/4*core*core)/(wrap*math.Pi*math.Pi))
	return Truth{traits.Wound, weight, outside, modulus * math.Pi / 64 * math.Pow(core, 4)}
}

// Copied is another copy of it, its unit weight off by a part of it, as if all its wires
// were thicker or thinner.
func (t Truth) Copied(off float64) Truth {
	return Truth{t.Kind, t.Weight * (1 + off), t.Outside * math.Sqrt(1+off), t.Bending * (1 + off) * (1 + off)}
}

// OfMake is string i of a make whose unit weights are 3 % apart, 0.6 to 20 g/m: steel, from
// 1.1 g/m on with a wrap on a core that grows.
func OfMake(i int) Truth {
	weight := 0.6e-3 * math.Pow(1.03, float64(i))
	if weight < 1.1e-3 {
		return OfPlain(weight, 7850, 206e9)
	}
	return OfWound(weight, 0.26e-3*math.Pow(weight/1.1e-3, 0.3), 7850, 206e9, 7900)
}

// OfAny is a string of no make, of any thickness: plain wire of any material, or one of
// the usual metals on steel or nylon.
func OfAny(r *rand.Rand) Truth {
	all := physics.Materials()
	pick := func(names ...string) (density, modulus float64) {
		m := all[r.IntN(len(all))]
		if len(names) > 0 {
			var err error
			if m, err = physics.ParseMaterial(names[r.IntN(len(names))]); err != nil {
				panic(err)
			}
		}
		return float64(m.Density.Value) + r.NormFloat64()*float64(m.Density.U), float64(m.Modulus.Value) + r.NormFloat64()*float64(m.Modulus.U)
	}
	outside := 0.8e-3 * math.Exp(0.8*r.NormFloat64())
	if r.IntN(2) == 0 {
		density, modulus := pick()
		return OfPlain(density*math.Pi/4*outside*outside, density, modulus)
	}
	density, modulus := pick("music wire", "music wire", "nylon")
	wrap, _ := pick("nickel-plated steel", "stainless 304", "stainless 430", "nickel 200", "phosphor bronze", "bronze 80/20", "copper")
	core := outside * 0.14 * math.Pow(0.95/0.14, r.Float64())
	weight := density*math.Pi/4*core*core + wrap*math.Pi*math.Pi/16*(outside*outside-core*core)
	return OfWound(weight, core, density, modulus, wrap)
}
