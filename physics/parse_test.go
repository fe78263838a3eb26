package physics

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	near := func(t *testing.T, s string, got, want float64, err error) {
		t.Helper()
		if err != nil || math.Abs(got/want-1) > 4e-16 {
			t.Errorf("%q: %v, %v; want %v", s, got, err, want)
		}
	}
	for s, want := range map[string]Length{
		"34in": 34 * Inch, "863.6mm": 0.8636, "86.36cm": 0.8636, "0.8636m": 0.8636,
		"254µm": 0.254e-3, "254μm": 0.254e-3, "254um": 0.254e-3, "10thou": 0.254e-3, "3ft": 36 * Inch,
		" 34 in ": 34 * Inch, "+34in": 34 * Inch, ".5m": 0.5, "5.m": 5, "1e-3m": 0.001, "1E+3mm": 1,
	} {
		got, err := Parse[Length](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]UnitWeight{
		"1.21g/m": 1.21e-3, "0.0000678lb/in": 0.0000678 * PoundPerInch, "6e-4kg/m": 6e-4,
		"1210mg/m": 1.21e-3, "0.01lb/ft": 0.01 * PoundPerFoot,
	} {
		got, err := Parse[UnitWeight](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]Force{
		"158N": 158, "35.6lbf": 35.6 * PoundForce, "16.1kgf": 16.1 * KilogramForce,
		"500gf": 0.5 * KilogramForce, "16ozf": PoundForce,
	} {
		got, err := Parse[Force](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]Mass{"1.3g": 1.3e-3, "0.5oz": Pound / 32, "2kg": 2, "300mg": 0.3e-3, "1lb": Pound} {
		got, err := Parse[Mass](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]Frequency{"55Hz": 55, "0.44kHz": 440} {
		got, err := Parse[Frequency](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]Density{"7850kg/m3": 7850, "7.85g/cm³": 7850} {
		got, err := Parse[Density](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]Pressure{"206GPa": 206e9, "2000MPa": 2e9} {
		got, err := Parse[Pressure](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]PitchInterval{"100cents": 100, "12.5c": 12.5, "1cent": 1, "2semitones": 200, "0.5semitone": 50} {
		got, err := Parse[PitchInterval](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]TemperatureStep{"5K": 5, "5°C": 5, "9°F": 5} {
		got, err := Parse[TemperatureStep](s)
		near(t, s, float64(got), float64(want), err)
	}
	for s, want := range map[string]SideStiffness{"0.5N/mm": 500, "3lbf/in": 3 * PoundForcePerInch} {
		got, err := Parse[SideStiffness](s)
		near(t, s, float64(got), float64(want), err)
	}
	if got, err := Parse[Sharpening]("5cents/mm"); err != nil || got != 5000 {
		t.Errorf("sharpening: %v, %v", got, err)
	}
	for s, want := range map[string]Fraction{"0.4": 0.4, "40%": 0.4} {
		got, err := Parse[Fraction](s)
		near(t, s, float64(got), float64(want), err)
	}
	if got, err := Parse[Inharmonicity]("6.1e-5"); err != nil || got != 6.1e-5 {
		t.Errorf("inharmonicity: %v, %v", got, err)
	}
}

func TestParseTolerance(t *testing.T) {
	for s, want := range map[string]Measured[Length]{
		"863.6mm±0.5mm":     {Value: 0.8636, U: 0.5e-3, Unit: Millimetre},
		"863.6mm+-0.5mm":    {Value: 0.8636, U: 0.5e-3, Unit: Millimetre},
		"863.6mm+/-0.5mm":   {Value: 0.8636, U: 0.5e-3, Unit: Millimetre},
		"863.6 mm ± 0.5 mm": {Value: 0.8636, U: 0.5e-3, Unit: Millimetre},
		"1m±0.1%":           {Value: 1, U: 0.001, Unit: Metre},
		"34in±0.5mm":        {Value: 34 * Inch, U: 0.5e-3, Unit: Inch},
		"1m±25%":            {Value: 1, U: 0.25, Unit: Metre},
		"1m":                {Value: 1, Unit: Metre, Assumed: true},
	} {
		got, err := ParseMeasured[Length](s)
		if err != nil {
			t.Errorf("%q: %v", s, err)
			continue
		}
		close := func(a, b Length) bool { return math.Abs(float64(a-b)) <= 4e-16*math.Abs(float64(b)) }
		if !close(got.Value, want.Value) || !close(got.U, want.U) || got.Unit != want.Unit || got.Assumed != want.Assumed {
			t.Errorf("%q: %+v, want %+v", s, got, want)
		}
	}
	if _, err := Parse[Length]("1m±1mm"); err == nil {
		t.Error("Parse takes a tolerance")
	}
}

// TestRefusals lists what is refused, with the words a person sees.
func TestRefusals(t *testing.T) {
	length := func(s string) error { _, err := SpeakingLength.Parse(s); return err }
	weight := func(s string) error { _, err := StringWeight.Parse(s); return err }
	pull := func(s string) error { _, err := Pull.Parse(s); return err }
	hertz := func(s string) error { _, err := Parse[Frequency](s); return err }
	mass := func(s string) error { _, err := CutMass.Parse(s); return err }
	gauge := func(s string) error { _, err := Gauge.Parse(s); return err }
	warmer := func(s string) error { _, err := Warming.Parse(s); return err }
	bend := func(s string) error { _, err := BendInterval.Parse(s); return err }
	push := func(s string) error { _, err := PushDepth.Parse(s); return err }
	for _, c := range []struct {
		parse      func(string) error
		text       string
		says, hint string
	}{
		{length, "34", `speaking length "34" has no unit`, "write 34in"}, // 34 mm is no string
		{length, "864", `has no unit`, "write 864mm"},
		{length, "100", `has no unit`, "write 100mm or 100in"},
		{length, "0.8636", `has no unit`, "write 0.8636m"},
		{length, "0.001", `has no unit`, "write it like 863.6mm or 34in"},
		{length, "", `speaking length is empty`, "write it like 863.6mm or 34in"},
		{length, "  ", `speaking length "  " is empty`, "write it like 863.6mm or 34in"},
		{length, "abc", `does not start with a number`, "write it like 863.6mm or 34in"},
		{length, "NaN", `does not start with a number`, "write it like 863.6mm or 34in"},
		{length, "Inf", `does not start with a number`, "write it like 863.6mm or 34in"},
		{length, "-", `does not start with a number`, "write it like 863.6mm or 34in"},
		{length, ".", `does not start with a number`, "write it like 863.6mm or 34in"},
		{length, "0x22in", `is no plain decimal number`, "write it like 863.6mm or 34in"},
		{length, "0X1Fmm", `is no plain decimal number`, "write it like 863.6mm or 34in"},
		{length, "0xin", `must be more than zero`, "write it like 863.6mm or 34in"},
		{length, "\xffmm", `is not text`, "write it like 863.6mm or 34in"},
		{length, "-34in", `must not be negative`, "leave the sign out"},
		{length, "−34in", `must not be negative`, "leave the sign out"},
		{length, "0mm", `must be more than zero`, "write it like 863.6mm or 34in"},
		{length, "0.000in", `must be more than zero`, "write it like 863.6mm or 34in"},
		{pull, "0N", `must be more than zero`, "write it like 163N, 36.6lbf or 16.6kgf"},
		{length, "1e400mm", `is too large a number`, "check the digits"},
		{pull, "1.7e308lbf", `is too large a number`, "check the digits"},
		{length, "1e-400mm", `is too small a number`, "check the digits"},
		{length, "1e999999999999mm", `is too large a number`, "check the digits"},
		{length, "34,5in", `is no plain decimal number`, "write 34.5in"},
		{length, ",5m", `does not start with a number`, "write 0.5m"},
		{length, "1,000mm", `is no plain decimal number`, "write 1000mm"}, // 1 mm is no string
		{length, "1,000m", `is no plain decimal number`, "write 1.000m"},  // nor is 1 km
		{pull, "1,000N", `is no plain decimal number`, "write 1000N or 1.000N"},
		{length, "1,234,5in", `is no plain decimal number`, "write it like 863.6mm or 34in"},
		{length, "1,000.5mm", `is no plain decimal number`, "write 1000.5mm"},
		{length, "1,000.5 mm", `is no plain decimal number`, "write 1000.5mm"},
		{length, "1'000mm", `is no plain decimal number`, "write 1000mm"},
		{length, "1_000mm", `is no plain decimal number`, "write 1000mm"},
		{length, "1 000mm", `is more than one number`, "write 1000mm"},
		{length, "1\u202f000mm", `is more than one number`, "write 1000mm"},
		{length, "69/2in", `is no plain decimal number`, "write 34.5in"},
		{length, "1/0in", `is no plain decimal number`, "write it like 863.6mm or 34in"},
		{length, "34 1/2in", `is more than one number`, "write 34.5in"},
		{length, "34-1/2in", `is more than one number`, "write 34.5in"},
		{gauge, "1/64in", `is no plain decimal number`, "write 0.015625in"},
		{length, `34"`, `speaking length '34"' has the unknown unit '"'`, "write 34in"},
		{length, "34″", `has the unknown unit "″"`, "write 34in"},
		{length, "34''", `has the unknown unit "''"`, "write 34in"},
		{length, "34inches", `has the unknown unit "inches"`, "write 34in"},
		{length, "3'", `has the unknown unit "'"`, "write 3ft"},
		{length, `5'6"`, `is no plain decimal number`, "write 66in"},
		{length, "5ft6in", `has the unknown unit "ft6in"`, "write 66in"},
		{length, "5ft 6in", `has the unknown unit "ft 6in"`, "write 66in"},
		{length, "34inn", `has the unknown unit "inn"`, "did you mean 34in?"},
		{length, "34IN", `has the unknown unit "IN"`, "did you mean 34in?"},
		{length, "34inch", `has the unknown unit "inch"`, "did you mean 34in?"},
		{length, "864mn", `has the unknown unit "mn"`, "did you mean 864mm?"},
		{length, "34furlong", `has the unknown unit "furlong"`, "write it like 863.6mm or 34in"},
		{length, "34N", `is in N, a unit of force, not of length`, "write it with a unit of length, like 34in"},
		{length, "34%", `has the unknown unit "%"`, "write it like 863.6mm or 34in"},
		{length, "40km", `is implausible`, "expected between 40 mm and 5000 mm"},
		{length, "40000m", `is implausible`, "expected between 0.04 m and 5 m"},
		{length, "34m", `is implausible`, "expected between 0.04 m and 5 m"},
		{length, "34mm", `is implausible`, "expected between 40 mm and 5000 mm"},
		{length, "34in±", `tolerance of speaking length "34in±" is empty`, "write it like 34in±0.1%"},
		{length, "34in±0.5", `tolerance of speaking length "34in±0.5" has no unit`, "write ±0.5in or ±0.5%"},
		{length, "34in±20", `has no unit`, "write ±20%"},
		{length, "34in±1e-9", `has no unit`, "write it like 34in±0.1%"}, // neither inches nor per cent are known as well
		{length, "34in±90", `has no unit`, "write it like 34in±0.1%"},
		{length, "34in±0,5mm", `is no plain decimal number`, "write ±0.5mm"},
		{length, "34in±0.5mn", `has the unknown unit "mn"`, "did you mean ±0.5mm?"},
		{length, "34in±-1mm", `must not be negative`, "leave the sign out"},
		{length, "34in±1g", `is in g, a unit of mass, not of length`, "like ±1mm or ±1in"},
		{length, "34in±0mm", `is zero, and nothing is known exactly`, "leave it out to have a usual one assumed, or give the standard uncertainty, as in 34in±0.1%"},
		{length, "34in±0", `is zero`, "as in 34in±0.1%"},
		{length, "34in+-0.00%", `is zero`, "as in 34in±0.1%"},
		{length, "34in±0e9mm", `is zero`, "as in 34in±0.1%"},
		{length, "34in±1e-400mm", `is too small a number`, "check the digits"},
		{length, "34in±1e-20mm", `is finer than anything is known`, "as in 34in±0.1%"},
		{length, "34in±30in", `is more than a quarter of the quantity`, "standard uncertainty"},
		{length, "34in±26%", `is more than a quarter of the quantity`, "standard uncertainty"},
		{length, "34in±1e300%", `is more than a quarter of the quantity`, "standard uncertainty"},
		{length, "34in±1mm±2mm", `has the unknown unit "mm±2mm"`, ""},
		{weight, "18.34", `has no unit`, "write 18.34g/m"}, // 18.34 lb/in is no string
		{weight, "0.00103", `has no unit`, "write 0.00103lb/in"},
		{weight, "0", `must be more than zero`, "write it like 18.4g/m or 0.00103lb/in"},
		{weight, "1.21mm", `is in mm, a unit of length, not of unit weight`, "like 1.21g/m"},
		{weight, "1.21g", `is in g, a unit of mass, not of unit weight`, "like 1.21g/m"},
		{weight, "5kg/m", `is implausible`, "expected between 0.01 g/m and 500 g/m"},
		{weight, "1.21g/mm", `has the unknown unit "g/mm"`, "did you mean 1.21g/m?"},
		{pull, "16.1kg", `is in kg, a unit of mass, not of force`, "for the weight of that mass write 16.1kgf"},
		{pull, "35lb", `is in lb, a unit of mass, not of force`, "for the weight of that mass write 35lbf"},
		{pull, "35mg", `is in mg, a unit of mass, not of force`, "write it as a force, like 35N or 35lbf or 35kgf"},
		{pull, "35lbs", `has the unknown unit "lbs"`, "did you mean 35lbf?"},
		{pull, "158n", `has the unknown unit "n"`, "did you mean 158N?"},
		{pull, "40000N", `is implausible`, "expected between 1 N and 3000 N"},
		{hertz, "55hz", `has the unknown unit "hz"`, "did you mean 55Hz?"},
		{hertz, "55", `has no unit`, "write 55Hz"},
		{hertz, "Inf", `does not start with a number`, "write it like 55Hz"},
		{mass, "2gr", `has the unknown unit "gr"`, "did you mean 2g?"},
		{mass, "5N", `is in N, a unit of force, not of mass`, "like 5g or 5oz"},
		{warmer, "5", `temperature difference "5" has no unit`, "write 5K or 5°F"},
		{warmer, "5k", `has the unknown unit "k"`, "did you mean 5K?"},
		{warmer, "5C", `has the unknown unit "C"`, "did you mean 5"},
		{warmer, "-5K", `must not be negative`, "leave the sign out"},
		{warmer, "0K", `must be more than zero`, "write it like 5K or 9°F"},
		{warmer, "300K", `is implausible`, "expected between 0.01 K and 60 K"},
		{bend, "100", `bend "100" has no unit`, "write 100cents"}, // 100 semitones are no bend
		{bend, "2", `has no unit`, "write 2cents or 2semitones"},
		{bend, "2st", `has the unknown unit "st"`, "write it like 100cents or 1semitone"},
		{bend, "5mm", `is in mm, a unit of length, not of interval`, "like 5cents"},
		{bend, "13semitones", `is implausible`, "expected between"},
		{push, "5", `push "5" has no unit`, "write 5mm or 5in"},
		{push, "5m", `is implausible`, "check the number and the unit"},
		{length, "34cents", `is in cents, a unit of interval, not of length`, "like 34in"},
		{mass, "10mg", `is too little to assume a tolerance of it`, "as in 10mg±1%"},
	} {
		err := c.parse(c.text)
		var input *InputError
		if !errors.As(err, &input) {
			t.Errorf("%q: got %v, want an *InputError", c.text, err)
			continue
		}
		if !strings.Contains(err.Error(), c.says) || !strings.Contains(input.Hint(), c.hint) {
			t.Errorf("%q:\n got  %s\n hint %s\n want %s\n hint %s", c.text, err, input.Hint(), c.says, c.hint)
		}
	}
	long := length(strings.Repeat("x", 1e6)).Error()
	if len(long) > 200 {
		t.Errorf("a long input gives an error of %d bytes", len(long))
	}
}

// Conversions by NIST Special Publication 811, appendix B.8, to the digits it
// prints, and the exact ones.
func TestConversions(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
		relative  float64
	}{
		{"inch", float64(Inch), 0.0254, 0},
		{"pound", float64(Pound), 0.45359237, 0},
		{"ounce", float64(Ounce), 0.028349523125, 0},
		{"kgf", float64(KilogramForce), 9.80665, 0},
		{"lbf", float64(PoundForce), 4.4482216152605, 0},
		{"lb/in", float64(PoundPerInch), 17.85797, 5e-7},
		{"lb/ft", float64(PoundPerFoot), 1.488164, 5e-7},
		{"lb/in3", float64(PoundPerCubicInch), 2.767990e4, 5e-7},
		{"psi", float64(PoundPerSquareInch), 6.894757e3, 5e-7},
		{"ozf", float64(OunceForce), 0.2780139, 5e-7},
		{"In", (34 * Inch).In(Millimetre), 863.6, 2e-16},
		{"In", (16 * KilogramForce).In(PoundForce), 35.27396, 5e-7},
	} {
		if !(math.Abs(c.got/c.want-1) <= c.relative) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
	for _, k := range kinds {
		if k.units[0].size != 1 {
			t.Errorf("%s: the first unit is not the SI unit", k.name)
		}
		if _, ok := k.bySymbol(k.shown); !ok {
			t.Errorf("%s: shown unit %q is not in its table", k.name, k.shown)
		}
		for _, s := range k.suggest {
			if _, ok := k.bySymbol(s); !ok {
				t.Errorf("%s: suggested unit %q is not in its table", k.name, s)
			}
		}
		for _, u := range k.units {
			if other := kindOfSymbol(u.symbol); other != k {
				t.Errorf("unit %q stands for both %s and %s", u.symbol, k.name, other.name)
			}
		}
	}
}
