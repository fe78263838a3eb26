package synth

import "math"

// A String is a uniform stiff string between two pinned ends, in SI units.
type String struct {
	Length         float64 // m, the speaking length
	Tension        float64 // N
	UnitWeight     float64 // kg/m
	Stiffness      float64 // N·m², bending stiffness E·I
	AxialStiffness float64 // N, E·A; makes large plucks glide, 0 for none
	Decay          Decay
	Second         Polarization
	Clip           Clip
	Uneven         float64 // cents, rms by which each partial strays from the law, as on a worn string; drawn by Take.Seed
}

// Decay is how the partials die: partial n loses amplitude as exp(-α_n t) with
// α_n = Base + Rise·(f_n/1 kHz)². The square stands for air and internal losses
// growing with frequency; it is a convenience, not a law.
type Decay struct {
	Base float64 // 1/s
	Rise float64 // 1/s at 1 kHz
}

// Rate returns the amplitude decay rate, 1/s, of a partial at f hertz.
func (d Decay) Rate(f float64) float64 {
	k := f / 1000
	return d.Base + d.Rise*k*k
}

// A Polarization is the string's second direction of vibration as the pickup
// hears it: every partial becomes a pair that beats.
type Polarization struct {
	Share float64 // amplitude over that of the first polarisation, 0 for none
	Cents float64 // frequency above the first polarisation, cents
	Decay float64 // decay rate over that of the first polarisation, 0 means 1
}

// F0 returns the fundamental of the flexible string, (1/2L)·√(T/µ), in hertz:
// what T = 4µL²f0² takes, and not the first partial as it sounds.
func (s String) F0() float64 {
	return math.Sqrt(s.Tension/s.UnitWeight) / (2 * s.Length)
}

// B returns the inharmonicity π²EI/(TL²), without unit.
func (s String) B() float64 {
	return math.Pi * math.Pi * s.Stiffness / (s.Tension * s.Length * s.Length)
}

// Partial returns the frequency of partial n at rest, in hertz: n·f0·√(1+Bn²),
// the stiff string with pinned ends (Fletcher 1964). With a clip it is that of the
// loaded string's mode n, which has no whole number of half waves.
func (s String) Partial(n int) float64 {
	k := s.form(n).wave
	return k * s.F0() * math.Sqrt(1+s.B()*k*k)
}

// shape returns sin(nπx), the shape of mode n at the fraction x of the length,
// exactly 0 at its nodes: what rounding leaves there must not be taken for sound.
func shape(n int, x float64) float64 {
	s := math.Sin(math.Pi * math.Mod(float64(n)*x, 2))
	if math.Abs(s) < 1e-12*float64(n) {
		return 0
	}
	return s
}

// FromPitch returns a string of plausible build whose flexible fundamental is
// f0 hertz and whose inharmonicity is b, with a moderate decay. Its speaking
// length is 0.864 m below 100 Hz, 0.648 m below 350 Hz and 0.33 m above, its
// tension 160, 80 and 60 N. It does not glide and has one polarisation; set
// AxialStiffness and Second for more.
func FromPitch(f0, b float64) String {
	s := String{Length: 0.33, Tension: 60, Decay: Decay{Base: 0.8, Rise: 2}}
	switch {
	case f0 < 100:
		s.Length, s.Tension = 0.864, 160
	case f0 < 350:
		s.Length, s.Tension = 0.648, 80
	}
	s.UnitWeight = s.Tension / (4 * s.Length * s.Length * f0 * f0)
	s.Stiffness = b * s.Tension * s.Length * s.Length / (math.Pi * math.Pi)
	return s
}
