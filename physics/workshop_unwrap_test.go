package physics

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Probabilities and sizes against draws from all that may be beforehand, weighed by
// the likelihood of the measurements (Monte Carlo, through the physics written out
// again).
func TestBuildsMonteCarlo(t *testing.T) {
	const draws = 60_000
	steel, nickel, bronze := of(t, "steel"), of(t, "nickel-200"), of(t, "bronze-80/20")
	truth := Build{Core: Core{Hexagonal, mm(0.5, 0), steel}, Wraps: []Wrap{{Wire: mm(0.45, 0), Of: nickel}}}
	for _, correlation := range []float64{0, 0.8} {
		e := evidenceOf(truth, 0.01, 0.005, 0.05)
		e.Correlation = correlation
		e.Known = Known{Wraps: []int{1, 2}, CoreOf: []Material{steel}, WrapOf: []Material{nickel, bronze}}
		found := must(e.Builds()).Builds
		r := rand.New(rand.NewPCG(7, 8))
		type sums struct{ weight, core, squares float64 }
		var all [12]sums
		names := map[string]int{}
		total := 0.0
		for _, shape := range []Shape{Round, Hexagonal} {
			area, moment, over, play := math.Pi/4, math.Pi/64, 1., 0.
			if shape == Hexagonal {
				area, moment, over = math.Sqrt(3)/2, 5*math.Sqrt(3)/144, 2/math.Sqrt(3)
				play = over - 2*math.Sqrt(3)/math.Pi
			}
			for _, wraps := range [][]Material{{nickel}, {bronze}, {nickel, nickel}, {nickel, bronze}, {bronze, nickel}, {bronze, bronze}} {
				name := shape.String()
				for _, w := range wraps {
					name += " " + w.Name
				}
				k := len(names)
				names[name] = k
				prior := 0.5 / 2 // of as many wraps, of the shape
				if len(wraps) == 2 {
					prior /= 4
				} else {
					prior /= 2
				}
				for range draws {
					d := float64(e.Outside.Value) * math.Exp(0.005*r.NormFloat64())
					// The stiffness leaves nothing beyond these, some eight of its u away.
					x := 0.26 + 0.25*r.Float64()
					inner := 0.2 + 0.6*r.Float64()
					wires := []float64{(1 - x) / 2 * d}
					if len(wraps) == 2 {
						wires = []float64{inner * wires[0], (1 - inner) * wires[0]}
					}
					s := x * d / over
					seat := -play * s * r.Float64()
					rhos := map[string]float64{"nickel 200": 8890 + 40*r.NormFloat64(), "bronze 80/20": 8670 + 45*r.NormFloat64()}
					mu := (7850 + 30*r.NormFloat64()) * area * s * s
					under, odd := x*d, false
					for i, w := range wires {
						odd = odd || w > 2*under
						mu += rhos[wraps[i].Name] * math.Pi * math.Pi / 4 * w * (under + seat + w)
						under += 2 * w
					}
					ei := (206e9 + 6e9*r.NormFloat64()) * (1 + 0.03*r.NormFloat64()) * moment * s * s * s * s
					if odd || ei < 0 {
						continue
					}
					zm := math.Log(float64(e.UnitWeight.Value)/mu) / 0.01
					ze := math.Log(float64(e.Stiffness.Value)/ei) / 0.05
					// Two normal errors that are correlated.
					z2 := (zm*zm - 2*correlation*zm*ze + ze*ze) / (1 - correlation*correlation)
					w := prior / draws * 0.25 / 0.85 * math.Exp(-z2/2)
					all[k].weight += w
					all[k].core += w * s
					all[k].squares += w * s * s
					total += w
				}
			}
		}
		for _, x := range found {
			name := x.Shape.String()
			for _, w := range x.Wraps {
				name += " " + w.Of.Name
			}
			want := all[names[name]]
			if x.Probability < 0.02 {
				continue
			}
			if got, p := x.Probability, want.weight/total; math.Abs(got/p-1) > 0.06 {
				t.Errorf("correlation %v, %s: probability %.4f, by draws %.4f", correlation, name, got, p)
			}
			mean := want.core / want.weight
			sd := math.Sqrt(want.squares/want.weight - mean*mean)
			if math.Abs(float64(x.Core.Value)-mean) > 0.1*sd || math.Abs(float64(x.Core.U)/sd-1) > 0.06 {
				t.Errorf("correlation %v, %s: core %v ± %v, by draws %v ± %v", correlation, name, x.Core.Value, x.Core.U, mean, sd)
			}
		}
	}
}

// Round trip: random builds, measured with random errors. The truth lies in the
// range that is to hold 95 % of the probability about as often, and a build that is
// given a probability is the true one as often as that.
func TestBuildsRoundTrip(t *testing.T) {
	const strings = 200
	r := rand.New(rand.NewPCG(9, 10))
	known := Known{CoreOf: []Material{of(t, "steel")}, WrapOf: []Material{of(t, "nickel-200"), of(t, "bronze-80/20")}}
	all := known.families()
	inside, sizes, lost := 0, 0, 0
	var saidTrue, saidExpected, saidVariance float64 // of the true builds' probabilities
	for range strings {
		f, p, outside := drawBuild(r, all)
		b := buildOf(f, p, outside)
		e := measured(r, b, r.IntN(3) > 0)
		e.Known = known
		x, err := e.Builds()
		if err != nil {
			lost++
			continue
		}
		i := slices.IndexFunc(x.Builds, func(x Explained) bool {
			if x.Shape != b.Core.Shape || len(x.Wraps) != len(b.Wraps) {
				return false
			}
			for k, w := range x.Wraps {
				if w.Of.Name != b.Wraps[k].Of.Name {
					return false
				}
			}
			return true
		})
		mean, square := 0.0, 0.0
		for _, x := range x.Builds {
			mean += math.Pow(x.Probability, 2)
			square += math.Pow(x.Probability, 3)
		}
		saidExpected += mean
		saidVariance += square - mean*mean
		if i < 0 {
			lost++
			continue
		}
		got := x.Builds[i]
		saidTrue += got.Probability
		count := func(s Span[Length], truth Length) {
			sizes++
			if s.Low <= truth && truth <= s.High {
				inside++
			}
		}
		count(got.Core, b.Core.Size.Value)
		for k, w := range got.Wraps {
			count(w.Wire, b.Wraps[k].Wire.Value)
		}
	}
	share := float64(inside) / float64(sizes)
	t.Logf("%d of %d sizes inside (%.3f), %d of %d builds not among those found; the true build is given %.3f in the mean, expected %.3f",
		inside, sizes, share, lost, strings, saidTrue/strings, saidExpected/strings)
	// Sizes of one string go together: some 200 independent ones, so ±1.5 % at k = 1.
	if share < 0.92 || share > 0.98 {
		t.Errorf("%.3f of the sizes lie in their range", share)
	}
	// Where the fit is refused at 1 %, fewer than 2 % are.
	if lost > strings/50 {
		t.Errorf("%d of %d true builds are not among those found", lost, strings)
	}
	if math.Abs(saidTrue-saidExpected) > 3*math.Sqrt(saidVariance) {
		t.Errorf("the true builds are given %v in all, expected %v", saidTrue, saidExpected)
	}
}

// drawBuild draws a build from all that may be beforehand.
func drawBuild(r *rand.Rand, all []family) (family, proportion, float64) {
	for {
		u := r.Float64()
		f := all[len(all)-1]
		for _, g := range all {
			if u -= g.prior; u < 0 {
				f = g
				break
			}
		}
		p := proportion{1, 0}
		outside := 0.6e-3 * math.Pow(4, r.Float64())
		if len(f.parts) == 1 {
			return f, p, outside
		}
		p = proportion{0.1 + 0.85*r.Float64(), 0.2 + 0.6*r.Float64()}
		if f.possible(p, Length(outside)) {
			return f, p, outside
		}
	}
}

// measured is a build measured with errors, of materials that depart from the
// handbook's.
func measured(r *rand.Rand, b Build, stiff bool) Evidence {
	depart := func(m Material, by float64) Material {
		m.Density.Value += m.Density.U * Density(by)
		return m
	}
	steel, wrap := r.NormFloat64(), map[string]float64{}
	core := b.Core.Of
	core.Modulus.Value += core.Modulus.U * Pressure(r.NormFloat64())
	b.Core.Of = depart(core, steel)
	b.Wraps = slices.Clone(b.Wraps)
	for i, w := range b.Wraps {
		if _, ok := wrap[w.Of.Name]; !ok {
			wrap[w.Of.Name] = r.NormFloat64()
		}
		b.Wraps[i].Of = depart(w.Of, wrap[w.Of.Name])
	}
	e := evidenceOf(b, 0.002, 0.004, 0.02)
	// The seat of the wraps, which the build takes for granted.
	size := float64(b.Core.Size.Value)
	for _, term := range must(b.UnitWeight()).Budget {
		if term.Input == "seat of the wraps" {
			_, u := b.Core.Shape.seat()
			e.UnitWeight.Value += UnitWeight(term.Sensitivity * u * size * math.Sqrt(12) * (r.Float64() - 0.5))
		}
	}
	e.UnitWeight.Value *= UnitWeight(1 + 0.002*r.NormFloat64())
	e.Outside.Value *= Length(1 + 0.004*r.NormFloat64())
	e.Stiffness.Value *= BendingStiffness(1 + 0.02*r.NormFloat64())
	if len(b.Wraps) > 0 {
		e.Stiffness.Value *= BendingStiffness(1 + wrapStiffening*r.NormFloat64())
	}
	if !stiff {
		e.Stiffness = Measured[BendingStiffness]{}
	}
	return e
}
