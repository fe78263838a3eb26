package physics

import (
	"math"
	"slices"

	"pluckweigh/physics/spelling"
)

// unit is one spelling of a unit.
type unit struct {
	symbol string
	size   float64 // in the SI unit of its kind
}

// kind is what the units of one quantity have in common.
type kind struct {
	name string
	// units has the SI unit first. Of several spellings of one size the first
	// is printed.
	units []unit
	// shown is the unit that people are shown where they named none.
	shown string
	// suggest are the units a hint names.
	suggest []string
	// example shows how one is written.
	example string
}

var (
	lengthKind = &kind{"length", []unit{
		{"m", float64(Metre)}, {"cm", float64(Centimetre)}, {"mm", float64(Millimetre)},
		{"km", float64(Kilometre)}, {"µm", float64(Micrometre)}, {"μm", float64(Micrometre)}, {"um", float64(Micrometre)},
		{"in", float64(Inch)}, {"thou", float64(Thou)}, {"ft", float64(Foot)},
	}, "mm", []string{"mm", "in"}, "863.6mm or 34in"}
	massKind = &kind{"mass", []unit{
		{"kg", float64(Kilogram)}, {"g", float64(Gram)}, {"mg", float64(Milligram)},
		{"lb", float64(Pound)}, {"oz", float64(Ounce)},
	}, "g", []string{"g", "oz"}, "9.21g or 0.325oz"}
	forceKind = &kind{"force", []unit{
		{"N", float64(Newton)}, {"kgf", float64(KilogramForce)}, {"gf", float64(GramForce)},
		{"lbf", float64(PoundForce)}, {"ozf", float64(OunceForce)},
	}, "N", []string{"N", "lbf", "kgf"}, "163N or 36.6lbf"}
	unitWeightKind = &kind{"unit weight", []unit{
		{"kg/m", float64(KilogramPerMetre)}, {"g/m", float64(GramPerMetre)},
		{"mg/m", float64(MilligramPerMetre)},
		{"lb/in", float64(PoundPerInch)}, {"lb/ft", float64(PoundPerFoot)},
	}, "g/m", []string{"g/m", "lb/in"}, "18.4g/m or 0.00103lb/in"}
	frequencyKind = &kind{"frequency", []unit{
		{"Hz", float64(Hertz)}, {"kHz", float64(Kilohertz)},
	}, "Hz", []string{"Hz"}, "55Hz"}
	densityKind = &kind{"density", []unit{
		{"kg/m3", float64(KilogramPerCubicMetre)}, {"kg/m³", float64(KilogramPerCubicMetre)},
		{"g/cm3", float64(GramPerCubicCentimetre)}, {"g/cm³", float64(GramPerCubicCentimetre)},
		{"lb/in3", float64(PoundPerCubicInch)}, {"lb/in³", float64(PoundPerCubicInch)},
	}, "kg/m3", []string{"kg/m3"}, "7850kg/m3"}
	pressureKind = &kind{"pressure", []unit{
		{"Pa", float64(Pascal)}, {"MPa", float64(Megapascal)}, {"GPa", float64(Gigapascal)},
		{"psi", float64(PoundPerSquareInch)},
	}, "GPa", []string{"GPa", "MPa"}, "206GPa"}
	bendingKind = &kind{"bending stiffness", []unit{
		{"N*m2", float64(NewtonSquareMetre)}, {"N·m²", float64(NewtonSquareMetre)},
	}, "N*m2", []string{"N*m2"}, "0.00076N*m2"}
	expansionKind = &kind{"thermal expansion", []unit{
		{"1/K", float64(PerKelvin)}, {"ppm/K", 1e-6},
	}, "ppm/K", []string{"ppm/K"}, "12ppm/K"}
	accelerationKind = &kind{"acceleration", []unit{
		{"m/s2", float64(MetrePerSecondSquared)}, {"m/s²", float64(MetrePerSecondSquared)},
	}, "m/s2", []string{"m/s2"}, "9.81m/s2"}
	inharmonicityKind = &kind{"inharmonicity", []unit{{"", 1}}, "", []string{""}, "6e-5"}
	intervalKind      = &kind{"interval", []unit{
		{"cents", float64(Cent)}, {"cent", float64(Cent)}, {"c", float64(Cent)},
		{"semitones", float64(Semitone)}, {"semitone", float64(Semitone)},
	}, "cents", []string{"cents", "semitones"}, "100cents or 1semitone"}
	temperatureKind = &kind{"temperature difference", []unit{
		{"K", float64(Kelvin)}, {"°C", float64(Kelvin)}, {"°F", float64(DegreeFahrenheit)},
	}, "K", []string{"K", "°F"}, "5K or 9°F"}
	sideStiffnessKind = &kind{"side stiffness", []unit{
		{"N/m", float64(NewtonPerMetre)}, {"N/mm", float64(NewtonPerMillimetre)}, {"lbf/in", float64(PoundForcePerInch)},
	}, "N/mm", []string{"N/mm", "lbf/in"}, "0.5N/mm"}
	sharpeningKind = &kind{"sharpening", []unit{
		{"cents/m", float64(CentPerMetre)}, {"cents/mm", float64(CentPerMillimetre)}, {"cents/in", float64(CentPerInch)},
	}, "cents/mm", []string{"cents/mm"}, "5cents/mm"}

	kinds = []*kind{lengthKind, massKind, forceKind, unitWeightKind, frequencyKind,
		densityKind, pressureKind, bendingKind, expansionKind, accelerationKind, inharmonicityKind,
		intervalKind, temperatureKind, sideStiffnessKind, sharpeningKind}

	// fractionKind is not among the kinds that a unit typed by mistake may belong
	// to: a % is then a tolerance gone astray.
	fractionKind = &kind{"fraction", []unit{{"", 1}, {"%", float64(Percent)}}, "%", []string{"%"}, "40%"}
)

// kindOf is the kind of the quantity Q.
func kindOf[Q Quantity]() *kind {
	switch any(Q(0)).(type) {
	case Length:
		return lengthKind
	case Mass:
		return massKind
	case Force:
		return forceKind
	case UnitWeight:
		return unitWeightKind
	case Frequency:
		return frequencyKind
	case Density:
		return densityKind
	case Pressure:
		return pressureKind
	case BendingStiffness:
		return bendingKind
	case Expansion:
		return expansionKind
	case Acceleration:
		return accelerationKind
	case PitchInterval:
		return intervalKind
	case TemperatureStep:
		return temperatureKind
	case SideStiffness:
		return sideStiffnessKind
	case Sharpening:
		return sharpeningKind
	case Fraction:
		return fractionKind
	}
	return inharmonicityKind
}

// bySymbol finds a unit by its spelling.
func (k *kind) bySymbol(symbol string) (unit, bool) {
	for _, u := range k.units {
		if u.symbol == symbol {
			return u, true
		}
	}
	return unit{}, false
}

// bySize finds the printed spelling of a unit, the SI unit for a size unknown.
func (k *kind) bySize(size float64) unit {
	for _, u := range k.units {
		if u.size == size {
			return u
		}
	}
	return k.units[0]
}

// kindOfSymbol finds the kind that a unit belongs to, nil for none.
func kindOfSymbol(symbol string) *kind {
	for _, k := range kinds {
		if _, ok := k.bySymbol(symbol); ok {
			return k
		}
	}
	return nil
}

// usual are the units that hints suggest.
func (k *kind) usual() []unit {
	out := make([]unit, 0, len(k.suggest))
	for _, s := range k.suggest {
		u, _ := k.bySymbol(s)
		out = append(out, u)
	}
	return out
}

// nearest is the unit of this kind, among those that may be, spelled most like the
// symbol; empty when none is near.
func (k *kind) nearest(symbol string, may func(unit) bool) string {
	var names []string
	for _, u := range slices.Concat(k.usual(), k.units) { // the usual first among equally near ones
		if may(u) {
			names = append(names, u.symbol)
		}
	}
	return spelling.Nearest(symbol, names)
}

// anyUsage is that of a quantity of which nobody said what it is for.
func (k *kind) anyUsage() usage { return usage{max: math.Inf(1), example: k.example} }
