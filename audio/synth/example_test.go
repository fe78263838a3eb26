package synth_test

import (
	"fmt"

	"pluckweigh/audio/synth"
)

// A bass string plucked by a finger, with a small glide, in a noisy room.
func ExampleTake_Render() {
	take := synth.Take{
		String: synth.String{
			Length:     0.864,  // m
			Tension:    160,    // N
			UnitWeight: 0.0177, // kg/m
			Stiffness:  1.4e-3, // N·m²
			Decay:      synth.Decay{Base: 0.8, Rise: 2},
		},
		Plucks: []synth.Pluck{{At: 0.2, Height: 0.003, Point: 0.18, Width: 0.012, GlideCents: 3}},
		Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.1},
		Rate:   48000, Seconds: 3, Level: -6,
		Noise: []synth.Noise{{Color: synth.White, DB: 30}},
		Seed:  1,
	}
	samples, truth, err := take.Render()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d samples\n", len(samples))
	fmt.Printf("f0 %.3f Hz, B %.2e\n", truth.F0, truth.B)
	second := truth.Plucks[0].Partials[1]
	fmt.Printf("partial %d: %.3f Hz, decay %.2f/s\n", second.N, second.Freq, second.Decay)
	// Output:
	// 144000 samples
	// f0 55.021 Hz, B 1.16e-04
	// partial 2: 110.068 Hz, decay 0.82/s
}
