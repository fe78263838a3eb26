package detecttest

import (
	"fmt"
	"math"
	"strings"

	"pluckweigh/audio/synth"
)

// A Case is a synthetic take to be heard.
type Case struct {
	Index uint64 // its place in the stream
	Take  synth.Take
	Marks []string // what it is hard by, in the same words for all cases
}

// String says what matters in the take, for a line in a log.
func (c Case) String() string {
	s := c.Take.String
	out := fmt.Sprintf("take %d: %.1f Hz, B %.1e, plucked at %.2f, heard at %.2f, %g Hz",
		c.Index, s.F0(), s.B(), c.Take.Plucks[0].Point, c.Take.Pickup.At, c.Take.Rate)
	if g := c.Take.Plucks[0].GlideCents; g != 0 {
		out += fmt.Sprintf(", glide %.1f cents", g)
	}
	if p := s.Second; p.Share > 0 {
		out += fmt.Sprintf(", second polarisation %.2f of the first %+.1f cents off", p.Share, p.Cents)
	}
	if len(c.Marks) > 0 {
		out += "; " + strings.Join(c.Marks, ", ")
	}
	return out
}

func (c *Case) mark(format string, args ...any) {
	c.Marks = append(c.Marks, fmt.Sprintf(format, args...))
}

// str draws a string from 23 to 660 Hz, B from 1e-5 to 4e-4, both evenly in their
// logarithms.
func (d draw) str() synth.String {
	s := synth.FromPitch(23*math.Pow(660./23, d.Float64()), 1e-5*math.Pow(40, d.Float64()))
	s.Decay.Base *= d.between(0.5, 1.5)
	s.Decay.Rise *= d.between(0.5, 1.5)
	return s
}

// second draws a second polarisation up to 3 cents off.
func (d draw) second() synth.Polarization {
	return synth.Polarization{Share: d.between(0.1, 0.7), Cents: d.between(-3, 3), Decay: d.between(0.7, 1.3)}
}

// Hard draws take i of those that are hard to hear: low notes lost in a high-pass,
// plucks and pickups at nodes, noise, hum, rumble, a neighbour, two polarisations,
// a glide, at all usual sample rates.
func Hard(stream Stream, i uint64) Case {
	d := stream.draw(kindHard, i)
	c := Case{Index: i}
	s := d.str()
	p := synth.Pluck{At: d.between(0.3, 0.6), Height: 1e-3, Width: d.between(1e-3, 5e-3)}
	pickup := d.place(&c, &p)
	if d.IntN(2) == 0 {
		s.Second = d.second()
		c.mark("two polarisations")
	}
	if d.IntN(2) == 0 {
		p.GlideCents = d.between(0, 20)
		c.mark("glide")
	}
	c.Take = synth.Take{
		String: s, Plucks: []synth.Pluck{p}, Pickup: synth.Pickup{At: pickup},
		Rate:    d.pick(16000, 22050, 32000, 44100, 48000, 88200, 96000, 192000),
		Seconds: p.At + d.between(1.5, 3.5), Level: d.between(-20, -1),
		RandomPhases: d.IntN(2) == 0, Seed: d.Uint64(),
		Noise: []synth.Noise{{DB: d.between(20, 50)}},
	}
	c.mark("%g kHz", c.Take.Rate/1000)
	if d.IntN(3) == 0 {
		c.Take.HighPass = synth.HighPass{Corner: d.pick(80, 120), Order: 2}
		c.mark("high-pass at %g Hz", c.Take.HighPass.Corner)
	}
	d.disturb(&c)
	return c
}

// place draws where the string is plucked, most often at a node, and returns where
// it is heard.
func (d draw) place(c *Case, p *synth.Pluck) (pickup float64) {
	switch k := d.IntN(6); k {
	case 0:
		p.Point = 0.03
		c.mark("plucked near the bridge")
	case 1:
		p.Point = d.between(0.1, 0.4)
	default:
		p.Point = 1 / float64(k)
		c.mark("plucked at 1/%d", k)
	}
	if d.IntN(2) == 0 {
		return d.between(0.05, 0.25)
	}
	k := 2 + d.IntN(4)
	c.mark("pickup at the null 1/%d", k)
	return 1 / float64(k)
}

// disturb adds one thing, or nothing, that is not the string.
func (d draw) disturb(c *Case) {
	t := &c.Take
	switch d.IntN(5) {
	case 0:
		t.Hum = synth.Hum{Freq: d.pick(50, 60), Level: t.Level - d.between(10, 30), Harmonics: 1 + d.IntN(8)}
		c.mark("hum")
	case 1:
		t.Noise = []synth.Noise{{Color: synth.Pink, DB: 10}}
		c.mark("pink noise at 10 dB")
	case 2:
		t.Noise = append(t.Noise, synth.Noise{Color: synth.Rumble, DB: d.between(-9, -3)})
		c.mark("rumble louder than the note")
	case 3:
		other := synth.FromPitch(t.String.F0()*math.Exp2(d.pick(-7, -5, -4, 4, 5, 7)/12), t.String.B())
		t.Neighbors = []synth.Neighbor{{String: other, Pluck: t.Plucks[0], Level: -20}}
		c.mark("neighbour 20 dB down")
	default:
		c.mark("white noise at 20 to 50 dB")
	}
}

// Clean draws take i of those that the Cramér–Rao bound is compared on: 2 s, one
// polarisation, no glide, nothing but white noise, from 10 to 40 dB under the
// string.
func Clean(stream Stream, i uint64) Case {
	d := stream.draw(kindClean, i)
	at := d.between(0.15, 0.25)
	return Case{Index: i, Take: synth.Take{
		String: d.str(), Rate: d.pick(22050, 44100, 48000), Seconds: 2, Level: -6,
		Plucks: []synth.Pluck{{At: at, Height: 1e-3, Point: d.between(0.08, 0.3), Width: d.between(1e-3, 5e-3)}},
		Pickup: synth.Pickup{At: d.between(0.05, 0.2)}, MaxPartials: 8 + d.IntN(33),
		RandomPhases: true, Seed: d.Uint64(),
		Noise: []synth.Noise{{DB: d.between(10, 40)}},
	}}
}

// Rest draws take i of those whose pitch at rest lies hidden behind a glide of up
// to 20 cents and a second polarisation up to 3 cents off.
func Rest(stream Stream, i uint64) Case {
	d := stream.draw(kindRest, i)
	s := d.str()
	s.Second = d.second()
	p := synth.Pluck{At: d.between(0.2, 0.4), Height: 1e-3, Point: d.between(0.08, 0.3), Width: d.between(1e-3, 5e-3)}
	p.GlideCents = d.between(0, 20)
	return Case{Index: i, Take: synth.Take{
		String: s, Plucks: []synth.Pluck{p}, Pickup: synth.Pickup{At: d.between(0.05, 0.2)},
		Rate: d.pick(44100, 48000), Seconds: p.At + d.between(2, 4), Level: -6,
		RandomPhases: d.IntN(2) == 0, Seed: d.Uint64(),
		Noise: []synth.Noise{{DB: d.between(30, 50)}},
	}}
}
