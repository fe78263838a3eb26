package physics_test

import (
	"fmt"

	"pluckweigh/physics"
)

// A plain steel string at 73 N: what a whole tone's bend takes, what five kelvin do,
// and how near it is to breaking.
func ExampleStrung() {
	size, _ := physics.CoreSize.Parse("0.254mm±0.001mm")
	steel, _ := physics.ParseMaterial("steel")
	s := physics.Strung{
		Length: physics.SpeakingLength.Assume(648 * physics.Millimetre),
		Pull:   physics.Result[physics.Force]{Measured: physics.Stated[physics.Force](73, 0.5)},
		Core:   physics.Core{Size: size, Of: steel},
	}
	bent, err := s.Bent(physics.Stated(2*physics.Semitone, 0))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("aside by", bent.Depth.Expanded(physics.Coverage), "with", bent.Side.Expanded(physics.Coverage))

	rigid := physics.Measured[physics.Expansion]{}
	warm, err := s.Warmed(physics.Stated(5*physics.Kelvin, 0), rigid)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("warmer:", warm.Shift.Expanded(physics.Coverage))

	limits, err := s.Limits()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range limits {
		fmt.Println(l.Load.Expanded(physics.Coverage), "of", l.Standard)
	}
	// Output:
	// aside by 19.63 ± 0.61 mm with 11.15 ± 0.41 N
	// warmer: -7.5 ± 2.7 cents
	// 54.5 ± 1.1 % of ASTM A228
}

func ExampleTotal() {
	set := []physics.Result[physics.Force]{
		{Measured: physics.Pull.Assume(73)}, // nobody measured them: off alike
		{Measured: physics.Pull.Assume(68)},
		{Measured: physics.Stated[physics.Force](75, 0.3)},
	}
	sum, _ := physics.Total(set, physics.OneBench)
	fmt.Println(sum.Expanded(physics.Coverage))
	// Output:
	// 216.0 ± 2.9 N
}
