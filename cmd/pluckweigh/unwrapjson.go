package main

import "pluckweigh/physics"

// buildsJSON is what explains a string.
type buildsJSON struct {
	Density    *float64      `json:"density_kg_per_m3"`
	UDensity   *float64      `json:"u_density_kg_per_m3"`
	Stiffness  *float64      `json:"stiffness_n_m2"`
	UStiffness *float64      `json:"u_stiffness_n_m2"`
	Builds     []explainJSON `json:"builds"`
	Tests      []testJSON    `json:"tests"`
}

type explainJSON struct {
	Probability *float64   `json:"probability"`
	Fit         *float64   `json:"fit"`
	ChiSquared  *float64   `json:"chi_squared"`
	Shape       string     `json:"shape"`
	Core        partJSON   `json:"core"`
	Wraps       []partJSON `json:"wraps"`
}

type partJSON struct {
	Material string   `json:"material"`
	Size     *float64 `json:"m"`
	USize    *float64 `json:"u_m"`
	Low      *float64 `json:"low_m"`
	High     *float64 `json:"high_m"`
}

type testJSON struct {
	Of   string   `json:"of"`
	Low  *float64 `json:"low"`
	High *float64 `json:"high"`
}

// newBuildsJSON is what explains a string, all null where nothing was heard.
func newBuildsJSON(f *figure) buildsJSON {
	if f == nil {
		return buildsJSON{}
	}
	b := f.builds
	j := buildsJSON{
		Density: finite(float64(b.density.Value)), UDensity: finite(float64(b.density.U)),
		Builds: []explainJSON{}, Tests: []testJSON{},
	}
	if ei := b.evidence.Stiffness; ei.Value > 0 {
		j.Stiffness, j.UStiffness = finite(float64(ei.Value)), finite(float64(ei.U))
	}
	for _, x := range b.Builds {
		wraps := []partJSON{}
		for _, p := range x.Wraps {
			wraps = append(wraps, newPartJSON(p.Of, p.Wire))
		}
		j.Builds = append(j.Builds, explainJSON{finite(x.Probability), finite(x.Fit), finite(x.Misfit),
			x.Shape.String(), newPartJSON(x.CoreOf, x.Core), wraps})
	}
	for _, t := range b.Tests {
		k := testJSON{Of: t.Of.String()}
		if t.Shows != "" {
			k.Low, k.High = finite(t.Low), finite(t.High)
		}
		j.Tests = append(j.Tests, k)
	}
	return j
}

func newPartJSON(of physics.Material, size physics.Span[physics.Length]) partJSON {
	return partJSON{of.Name, finite(float64(size.Value)), finite(float64(size.U)), finite(float64(size.Low)), finite(float64(size.High))}
}
