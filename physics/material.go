package physics

import (
	"strings"

	"pluckweigh/physics/spelling"
)

// A Material is what strings and their cores are made of. Values are those of
// handbooks; they vary from one source to the next, which is their uncertainty.
type Material struct {
	Name      string
	Density   Measured[Density]
	Modulus   Measured[Pressure]  // Young's
	Expansion Measured[Expansion] // linear; zero where not known
	// Softening is what the modulus loses per kelvin, as a fraction of it; without an
	// uncertainty where not known.
	Softening Measured[Expansion]
	Source    string
}

// Materials lists the materials known.
func Materials() []Material {
	// Standard uncertainties: judged from the spread of handbook values, about
	// 0.5 % of a metal's density and 3 % of its modulus, more for what is drawn
	// from polymers or grown.
	return []Material{
		// E from 190 to 210 GPa is seen for drawn wire.
		musicWire(),
		metal("stainless 302", 7860, 40, 193, 6, 17, 0.5, "data sheets of the grade"),
		// E from memory.
		metal("stainless 304", 8000, 60, 193, 6, 17, 0.5, "Callister, appendix B; modulus from memory"),
		metal("nickel 200", 8890, 40, 204, 8, 13.3, 0.5, "from memory"),
		metal("phosphor bronze", 8860, 40, 110, 4, 17.8, 0.5, "alloy data for C51000"),
		metal("bronze 80/20", 8670, 45, 110, 5, 19, 0.8, "C24000, from memory"),
		metal("stainless 430", 7750, 40, 200, 6, 10.4, 0.5, "from memory"),
		metal("copper", 8920, 30, 117, 4, 17, 0.5, "C11000, from memory"),
		// Mild steel under some per cent of nickel, how much differs.
		metal("nickel-plated steel", 7900, 50, 205, 6, 12, 0.5, "from memory"),
		// The moduli of polymers and gut rise with stress and fall with moisture.
		material("nylon", 1140, 15, 2.7, 0.8, 80, 10, "nylon 6/6, general data"),
		material("fluorocarbon", 1770, 20, 2.2, 0.7, 0, 0, "PVDF, general data; expansion not known"),
		material("gut", 1300, 40, 5.5, 0.5, 0, 0, "from memory; expansion not known"),
	}
}

// musicWire is what most cores are made of.
func musicWire() Material {
	return metal("music wire", 7850, 30, 206, 6, 12, 0.5, "EN 10270-1 (ASTM A228 alike)")
}

func material(name string, density, uDensity, gpa, uGPa, ppm, uPPM float64, source string) Material {
	return Material{
		Name:      name,
		Density:   Measured[Density]{Value: Density(density), U: Density(uDensity), Assumed: true},
		Modulus:   Measured[Pressure]{Value: Pressure(gpa) * Gigapascal, U: Pressure(uGPa) * Gigapascal, Assumed: true},
		Expansion: Measured[Expansion]{Value: Expansion(ppm * 1e-6), U: Expansion(uPPM * 1e-6), Assumed: true},
		Source:    source,
	}
}

// metal is a material of which it is known what warmth does to it. The modulus of
// spring metals falls by some 3e-4 of it per kelvin (from memory). The usual law of a
// string that warms leaves that out, so here it is the uncertainty of a softening of
// zero.
func metal(name string, density, uDensity, gpa, uGPa, ppm, uPPM float64, source string) Material {
	m := material(name, density, uDensity, gpa, uGPa, ppm, uPPM, source)
	m.Softening = Measured[Expansion]{U: 3e-4, Assumed: true}
	return m
}

// ParseMaterial finds a material by its name; capitals do not matter and a
// hyphen may stand for a space. "steel" is music wire. The error is an
// *InputError that names the nearest.
func ParseMaterial(s string) (Material, error) {
	want := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), "-", " ")
	if want == "steel" {
		want = "music wire"
	}
	var names []string
	for _, m := range Materials() {
		if strings.ReplaceAll(m.Name, "-", " ") == want {
			return m, nil
		}
		names = append(names, m.Name)
	}
	e := &InputError{What: "material", Text: s, Why: "is not known", Fix: "known are " + join(names)}
	if near := spelling.Nearest(want, append(names, "steel")); near != "" {
		e.Fix = "did you mean " + near + "?"
	}
	return Material{}, e
}
