package detecttest

import (
	"math"

	"pluckweigh/audio/synth"
)

// Loaded draws take i of strings from 30 to 400 Hz, 0.6 to 1 m long, with a clip of 3
// to 12 % of their mass within 2 mm of the middle, in white noise at 25 dB: low notes
// lost in a high-pass, pickups at nodes, glides and quick decays among them.
func Loaded(stream Stream, i uint64) Case {
	d := stream.draw(kindHard, i|1<<63) // a part of the stream that no other kind draws from
	c := Case{Index: i}
	f0, b := 30*math.Pow(400./30, d.Float64()), d.between(0, 3e-4)
	s := synth.FromPitch(f0, b)
	s.Length = d.between(0.6, 1)
	s.UnitWeight = s.Tension / (4 * s.Length * s.Length * f0 * f0)
	s.Stiffness = b * s.Tension * s.Length * s.Length / (math.Pi * math.Pi)
	s.Decay.Base *= d.between(0.5, 2)
	s.Decay.Rise *= d.between(0.5, 2)
	ratio, off := d.between(0.03, 0.12), d.between(-2e-3, 2e-3)
	s.Clip = synth.Clip{Mass: ratio * s.UnitWeight * s.Length, At: 0.5 + off/s.Length}
	c.mark("clip of %.3f, %.1f mm off", ratio, 1000*off)
	p := synth.Pluck{At: d.between(0.3, 0.6), Height: 1e-3, Width: d.between(1e-3, 5e-3), Point: d.between(0.05, 0.4)}
	if d.IntN(2) == 0 {
		p.GlideCents = d.between(0, 8)
	}
	pickup := d.between(0.05, 0.25)
	if d.IntN(4) == 0 {
		pickup = d.pick(1./3, 0.25, 0.2)
		c.mark("pickup at a node")
	}
	c.Take = synth.Take{
		String: s, Plucks: []synth.Pluck{p}, Pickup: synth.Pickup{At: pickup},
		Rate:    d.pick(44100, 48000),
		Seconds: p.At + d.between(1.5, 3.5), Level: -6, MaxPartials: 120,
		RandomPhases: d.IntN(2) == 0, Seed: d.Uint64(),
		Noise: []synth.Noise{{DB: 25}},
	}
	if d.IntN(3) == 0 {
		c.Take.HighPass = synth.HighPass{Corner: d.pick(80, 120), Order: 2}
		c.mark("high-pass at %g Hz", c.Take.HighPass.Corner)
	}
	return c
}
