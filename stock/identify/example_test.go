package identify_test

import (
	"fmt"

	"pluckweigh/physics"
	"pluckweigh/stock/identify"
	"pluckweigh/stock/traits"
)

// A string without a label, heard under a known pull: two in stock weigh about as much.
func ExampleQuestion_Answer() {
	heard := physics.Stretch{
		Length: physics.SpeakingLength.Assume(864 * physics.Millimetre),
		F0:     physics.Stated[physics.Frequency](55, 0.01),
		B:      physics.Stated[physics.Inharmonicity](6e-5, 2e-6),
	}
	w, err := heard.UnitWeight(physics.Stated[physics.Force](172, 1))
	if err != nil {
		fmt.Println(err)
		return
	}
	found, err := physics.Evidence{UnitWeight: w.Measured}.Heard(heard)
	if err != nil {
		fmt.Println(err)
		return
	}
	q := identify.Question{Evidence: found, Kind: traits.Wound}
	for _, s := range []struct {
		name   string
		weight physics.UnitWeight
		gauge  physics.Length
	}{{"the old A", 19.1, 1.95}, {"the new A", 19.2, 2.03}, {"the D", 10.9, 1.5}} {
		q.Strings = append(q.Strings, traits.String{Name: s.name, Kind: traits.Wound,
			UnitWeight: physics.Stated(s.weight*physics.GramPerMetre, 0.05*physics.GramPerMetre),
			Outside:    physics.Gauge.Assume(s.gauge * physics.Millimetre)})
	}
	a, err := q.Answer()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range a.Candidates {
		fmt.Printf("%s: %.2f\n", q.Strings[c.String].Name, c.Probability)
	}
	fmt.Printf("none of these: %.3f\n", a.None)
	fmt.Printf("next: %v, which settles it in %.0f of 100\n", a.Next[0].Of, 100*a.Next[0].Settles)
	// Output:
	// the old A: 0.69
	// the new A: 0.31
	// none of these: 0.001
	// next: micrometer, which settles it in 100 of 100
}
