package physics

import (
	"testing"
)

func TestPrint(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Stated(34*Inch, 0.5*Millimetre).As(Inch).Expanded(1), "34.000 ± 0.020 in"},
		{Stated(Force(158.314), 0.6).Expanded(2), "158.3 ± 1.2 N"},
		{Stated(Force(158.314), 0.04985).Expanded(2), "158.31 ± 0.10 N"},
		{Stated(Force(1583.14), 62).Expanded(2), "1580 ± 120 N"},
		{Stated(Force(158.314), 0).Expanded(2), "158.314 N"},
		{Stated(0.00121*KilogramPerMetre, 2e-6).Expanded(2), "1.2100 ± 0.0040 g/m"},
		{Stated(0.0000678*PoundPerInch, 0.0000007*PoundPerInch).As(PoundPerInch).Expanded(2), "(6.78 ± 0.14)e-5 lb/in"},
		{Stated[Inharmonicity](6.1e-5, 1e-6).Expanded(2), "(6.10 ± 0.20)e-5"},
		{Stated[Inharmonicity](6.1e-9, 1e-10).Expanded(2), "(6.10 ± 0.20)e-9"},
		{Stated[Inharmonicity](0, 6e-7).Expanded(2), "(0.0 ± 1.2)e-6"},
		{Stated[Inharmonicity](3e-9, 6e-7).Expanded(2), "(0.0 ± 1.2)e-6"},
		{Stated[Inharmonicity](0, 6e-12).Expanded(2), "(0.0 ± 1.2)e-11"},
		{Stated[Force](0, 0.5).Expanded(2), "0.0 ± 1.0 N"},
		{Stated[Frequency](55, 1e-11).Expanded(2), "55.000000000000 ± 0.000000000020 Hz"},
		{Stated[Force](1.5e9, 1e7).Expanded(2), "(1.500 ± 0.020)e9 N"},
		{Stated[Force](1, 1e300).Expanded(1), "(0.0 ± 1.0)e300 N"},
		{Stated(Length(0.8636), 0.0005).As(Millimetre).String(), "863.6mm±0.5mm"},
		{SpeakingLength.Assume(0.8636).As(Millimetre).String(), "863.6mm"},
		{Format(34*Inch, 0, 4), "863.6 mm"},
		{Format(34*Inch, Inch, 4), "34 in"},
		{Format(206*Gigapascal, 0, 4), "206 GPa"},
		{Stated(Length(0.8636), 0).As(Millimetre).String(), "863.6mm"},
		{Length(0.8636).String(), "0.8636m"},
		{Force(158).String(), "158N"},

		// JCGM 100:2008, 7.2.6: y = 10.057 62 Ω, u = 27 mΩ becomes 10.058 Ω.
		{Stated[Length](10.05762, 0.027).As(Metre).Expanded(1), "10.058 ± 0.027 m"},
		// JCGM 100:2008, 7.2.4: a mass of 100.021 47 g, u = 0.35 mg, k = 2.26.
		{Stated(100.02147*Gram, 0.35*Milligram).Expanded(2.26), "100.02147 ± 0.00079 g"},
		{FormatInterval(Interval{161.263, 163.5}, 0, Force(0.6)), "161.26 to 163.50 N"},
		{FormatInterval(Interval{1.21e-3, 1.22e-3}, GramPerMetre, UnitWeight(2.4e-6)), "1.2100 to 1.2200 g/m"},
		{FormatInterval(Interval{float64(3.01e-5 * PoundPerInch), float64(3.412e-5 * PoundPerInch)}, PoundPerInch, 1.2e-6*PoundPerInch), "(3.01 to 3.41)e-5 lb/in"},
		{FormatInterval(Interval{-2, 3}, 0, Force(0)), "-2 to 3 N"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
