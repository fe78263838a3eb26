package detect_test

import (
	"fmt"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// From the samples of a pluck to the tension of the string: an invented bass A
// string of 12 g/m on 864 mm.
func Example() {
	take := synth.Take{
		String: synth.String{Length: 0.864, Tension: 108.5, UnitWeight: 0.012, Stiffness: 5e-4, Decay: synth.Decay{Base: 1, Rise: 0.5}},
		Plucks: []synth.Pluck{{At: 0.3, Height: 1e-3, Point: 0.2}},
		Pickup: synth.Pickup{At: 0.1}, Rate: 48000, Seconds: 3, Level: -6,
	}
	samples, _, err := take.Render() // or any other mono samples
	if err != nil {
		fmt.Println(err)
		return
	}
	heard, err := detect.Analyze(samples, 48000, detect.Options{})
	if err != nil || heard.Reading == nil {
		fmt.Println("nothing to trust:", err, heard.Doubts)
		return
	}
	r := heard.Reading
	tension, err := physics.Stretch{
		Length: physics.Stated(864*physics.Millimetre, 0.5*physics.Millimetre),
		F0:     physics.Stated(physics.Frequency(r.F0.V), physics.Frequency(r.F0.U)),
		B:      physics.Stated(physics.Inharmonicity(r.B.V), physics.Inharmonicity(r.B.U)),
		Ends:   physics.EndsPinned,
	}.Tension(physics.Stated(12*physics.GramPerMetre, 0.02*physics.GramPerMetre))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(tension.Expanded(2))
	// Output: 108.50 ± 0.44 N
}
