package physics_test

import (
	"errors"
	"fmt"

	"pluckweigh/physics"
)

// From a reading to a tension: what was heard, what was given, and what the
// uncertainty comes from.
func Example() {
	length, _ := physics.SpeakingLength.Parse("34in±0.5mm")
	weight, _ := physics.StringWeight.Parse("12.1g/m±0.2%")
	heard := physics.Stretch{
		Length: length,
		F0:     physics.Stated[physics.Frequency](55.02, 0.002),
		B:      physics.Stated[physics.Inharmonicity](6.1e-5, 1e-6),
	}
	tension, err := heard.Tension(weight)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(tension.Expanded(physics.Coverage))
	fmt.Println(tension.As(physics.PoundForce).Expanded(physics.Coverage))
	for _, term := range tension.Budget {
		fmt.Printf("%3.0f %% %s (%s)\n", 100*term.Share, term.Input, term.Said)
	}
	// Output:
	// 108.73 ± 0.80 N
	// 24.44 ± 0.18 lbf
	//  61 % end condition (pinned or clamped, unknown)
	//  29 % unit weight (12.100 ± 0.024 g/m)
	//  10 % speaking length (34.000 ± 0.020 in)
	//   0 % f0 (55.0200 ± 0.0020 Hz)
	//   0 % inharmonicity ((6.10 ± 0.10)e-5)
}

func ExampleStretch_UnitWeight() {
	pull, _ := physics.Pull.Parse("35.6lbf±0.1lbf")
	heard := physics.Stretch{
		Length: physics.SpeakingLength.Assume(34 * physics.Inch),
		F0:     physics.Stated[physics.Frequency](55.02, 0.002),
		Ends:   physics.EndsPinned,
	}
	weight, _ := heard.UnitWeight(pull)
	fmt.Println(weight.As(physics.GramPerMetre).Expanded(2))
	// Output:
	// 17.54 ± 0.11 g/m
}

// What to measure better, and whether a million random draws agree with the budget.
func ExampleResult_Improvements() {
	length, _ := physics.SpeakingLength.Parse("864mm±1mm")
	weight, _ := physics.StringWeight.Parse("12.1g/m±0.2%")
	heard := physics.Stretch{Length: length, F0: physics.Stated[physics.Frequency](55.02, 0.002), Ends: physics.EndsPinned}
	tension, _ := heard.Tension(weight)
	for _, better := range tension.Improvements() {
		fmt.Println(better.Input, better.Said)
	}
	draws, _ := tension.MonteCarlo()
	fmt.Println(physics.FormatInterval(draws.Shortest, tension.Unit, tension.U), draws.Agrees)
	// Output:
	// speaking length known to ± 0.2 mm: ± 0.61 % becomes ± 0.41 %
	// unit weight known to ± 0.1 %: ± 0.61 % becomes ± 0.50 %
	// 108.72 to 110.03 N true
}

func ExampleParse() {
	length, _ := physics.Parse[physics.Length]("34in")
	fmt.Println(length.In(physics.Millimetre))

	_, err := physics.Parse[physics.Length]("34")
	fmt.Println(err)
	var input *physics.InputError
	if errors.As(err, &input) {
		fmt.Println(input.Hint())
	}
	// Output:
	// 863.6
	// length "34" has no unit
	// write 34mm or 34in
}

func ExampleRole_Parse() {
	length, _ := physics.SpeakingLength.Parse("863.6mm")
	fmt.Println(length.Expanded(1), "assumed:", length.Assumed)

	_, err := physics.SpeakingLength.Parse("34m")
	fmt.Println(err)
	// Output:
	// 863.60 ± 0.50 mm assumed: true
	// speaking length "34m" is implausible
}

func ExamplePlainWire_UnitWeight() {
	gauge, _ := physics.Gauge.Parse("0.254mm±0.002mm")
	steel, _ := physics.ParseMaterial("music wire")
	weight, _ := physics.PlainWire{Gauge: gauge, Density: steel.Density}.UnitWeight()
	fmt.Println(weight.Expanded(2))
	// Output:
	// 0.398 ± 0.013 g/m
}

func ExampleNearestNote() {
	note, _ := physics.NearestNote(55.02, physics.ConcertPitch)
	fmt.Printf("%s %+.1f cents\n", note.Name(), note.Cents)
	// Output:
	// A1 +0.6 cents
}
