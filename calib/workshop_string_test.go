package calib_test

import (
	"math"

	"pluckweigh/calib"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// A piece is a string on an instrument as it truly is, in SI units; its physics is
// written out here once more.
type piece struct {
	length, mu, pull float64
	core             float64 // diameter
	modulus          float64
	bending, axial   float64 // EI and EA
	held             float64 // how much each end is kept from turning, 0 pinned to 1 clamped
}

// piece is a steel string, plain or wound, strung to three to eleven tenths of a
// gigapascal.
func (b bench) piece() piece {
	p := piece{length: b.between(0.5, 1.1), core: b.between(0.25e-3, 0.6e-3), modulus: b.around(206e9, 6e9), held: b.Float64()}
	area := math.Pi / 4 * p.core * p.core
	p.axial, p.bending = p.modulus*area, p.modulus*math.Pi/64*math.Pow(p.core, 4)
	p.pull = b.between(0.3e9, 1.1e9) * area
	p.mu = b.around(7850, 30) * area
	if b.coin() {
		p.mu *= b.between(1.5, 7)
		p.bending *= b.between(1, 1.2)
	}
	return p
}

// ends are what is said of the ends of a piece that are told; they are so then.
func (b bench) ends(p *piece) physics.Ends {
	if b.coin() {
		p.held = 0
		return physics.EndsPinned
	}
	p.held = 1
	return physics.EndsClamped
}

// sounding is the length of a flexible string that sounds the same: each end that
// is held takes off √(EI/T).
func (p piece) sounding() float64 {
	return p.length - 2*p.held*math.Sqrt(p.bending/p.pull)
}

func (p piece) f0() float64 { return math.Sqrt(p.pull/p.mu) / (2 * p.sounding()) }

func (p piece) stiffness() float64 {
	return math.Pi * math.Pi * p.bending / (p.pull * p.length * p.length)
}

// pulled is the piece under another pull: it is longer or shorter, so that what
// lies between its ends is lighter or heavier.
func (p piece) pulled(pull float64) piece {
	p.mu *= (1 + p.pull/p.axial) / (1 + pull/p.axial)
	p.pull = pull
	return p
}

// A recorder is off by so much, relative, and that is what is known of it.
type recorder struct {
	fast  float64
	clock calib.Clock
}

// anyRecorder was never calibrated.
func (b bench) anyRecorder() recorder {
	return recorder{b.between(-100e-6, 100e-6), calib.Uncalibrated()}
}

// calibrated is a recorder that is off by as much as any, known to some parts per
// million.
func (b bench) calibrated(u float64) recorder {
	fast := b.between(-200, 200)
	return recorder{fast * 1e-6, calib.Clock{PPM: b.around(fast, u), U: u, Source: "reference tone"}}
}

// heard is what one fit of all partials reads: f0 and B with errors that go
// together as in the fit. Of partials of amplitude k^−p with white noise, with
// S_m = Σ k^(m−2p), var B is 4S₂/(S₆f0²) times var f0, and the correlation is
// −S₄/√(S₂S₆), the inverse of the Fisher information of f_k = k·f0·√(1+Bk²).
func (b bench) heard(p piece, r recorder) detect.Reading {
	var s2, s4, s6 float64
	slope := b.between(0.3, 1.2)
	for k := 1.0; k <= float64(6+b.IntN(25)); k++ {
		power := math.Pow(k, -2*slope)
		s2, s4, s6 = s2+k*k*power, s4+math.Pow(k, 4)*power, s6+math.Pow(k, 6)*power
	}
	stiff := p.stiffness()
	perPitch := 2 * math.Sqrt(s2/s6) // u(B) over the relative u(f0)
	// From a hundredth of a cent to half of one, if B can be heard as well.
	u := min(b.scattered(6e-6, 3e-4), stiff/5/perPitch)
	corr := -s4 / math.Sqrt(s2*s6)
	x, y := b.NormFloat64(), b.NormFloat64()
	f0 := p.f0() / (1 + r.fast)
	return detect.Reading{
		F0:     detect.Value{V: f0 * (1 + u*x), U: f0 * u},
		B:      detect.Value{V: stiff + u*perPitch*(corr*x+math.Sqrt(1-corr*corr)*y), U: u * perPitch},
		BKnown: true, Corr: corr, Plucks: 1,
	}
}

// stretch is a reading as the commands hand it on.
func (b bench) stretch(h detect.Reading, r recorder, l physics.Measured[physics.Length], held physics.Ends) physics.Stretch {
	f0, err := r.clock.True(h.F0)
	if err != nil {
		b.t.Fatal(err)
	}
	s := physics.Stretch{
		Length: l,
		F0:     physics.Stated(physics.Frequency(f0.V), physics.Frequency(f0.U)),
		B:      physics.Stated(physics.Inharmonicity(h.B.V), physics.Inharmonicity(h.B.U)),
		Corr:   h.Corr, Clock: r.clock.Relative(), Ends: held,
	}
	s.F0.DoF = h.DoF
	return s
}

// rule is the speaking length by a rule or better.
func (b bench) rule(p piece) physics.Measured[physics.Length] {
	return stated(b, physics.SpeakingLength, physics.Length(p.length), physics.Length(b.scattered(0.2e-3, 1e-3)), physics.Millimetre, physics.Centimetre, physics.Inch)
}

// glance is a length of which nothing more was said.
func (b bench) glance(p piece) physics.Measured[physics.Length] {
	return assumed(b, physics.SpeakingLength, physics.Length(p.length), 0.5e-3, normal, physics.Millimetre, physics.Inch)
}

// weight is the unit weight of the piece, known so well.
func (b bench) weight(p piece, relative float64) physics.Measured[physics.UnitWeight] {
	return stated(b, physics.StringWeight, physics.UnitWeight(p.mu), physics.UnitWeight(relative*p.mu), physics.GramPerMetre, physics.PoundPerInch)
}
