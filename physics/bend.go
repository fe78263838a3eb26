package physics

import "math"

// A Deflection is a string pushed aside at the middle of its length, so that it
// makes a triangle, and what comes of that. The string sounds from there to one of
// its ends, as one that is bent on a fret does.
type Deflection struct {
	Depth     Result[Length]        // how far the middle is moved
	Side      Result[Force]         // side force that holds it there
	Raise     Result[PitchInterval] // of the pitch
	Pull      Result[Force]         // along the string, while it is held
	Stretch   Result[Fraction]      // of the string, by the deflection alone
	Sharpness Result[Sharpening]    // how the pitch goes on rising with the depth
}

// Bent is the string bent by an interval at mid-length. With θ the angle by which
// each half turns,
//
//	f/f₀ = √((EA + (T−EA) cos θ)/T),  side force 2 sin θ (T + EA (1/cos θ − 1)),
//
// as in Grimes 2014 (PLOS ONE 9: e102088), from the law of a string that keeps its
// mass between rigid ends. Terms: those of the pull, "speaking length", "core",
// "modulus of" the material, and "bend" where it has an uncertainty.
func (s Strung) Bent(by Measured[PitchInterval]) (Deflection, error) {
	if err := by.check(string(BendInterval)); err != nil {
		return Deflection{}, err
	}
	// 1 − cos θ = T (r²−1)/(EA−T), r the ratio of the frequencies.
	halfAngle := func(pull, _, axial, cents float64) float64 {
		return math.Asin(math.Sqrt(pull * math.Expm1(cents/600*math.Ln2) / (axial - pull) / 2))
	}
	return s.deflected(halfAngle, from(string(BendInterval), by), string(BendInterval)+" of "+Format(by.Value, by.Unit, 4))
}

// Pushed is the string pushed aside at mid-length by a depth. For a small one the
// side force is 4Td/L + 8EAd³/L³. Terms as in Bent, "push" in place of "bend".
func (s Strung) Pushed(depth Measured[Length]) (Deflection, error) {
	if err := depth.check(string(PushDepth)); err != nil {
		return Deflection{}, err
	}
	halfAngle := func(_, length, _, depth float64) float64 { return math.Atan(2*depth/length) / 2 }
	return s.deflected(halfAngle, from(string(PushDepth), depth), string(PushDepth)+" of "+Format(depth.Value, depth.Unit, 4))
}

// steepest is the largest deflection that is worked out, as a fraction of the
// length. No hand or instrument goes as far.
const steepest = 0.25

// deflected works out a deflection from half the angle θ that is made of the pull,
// the length, the axial stiffness and what is asked after. 1 − cos θ is taken as
// 2 sin²(θ/2), which keeps its digits.
func (s Strung) deflected(halfAngle func(pull, length, axial, asked float64) float64, asked source, what string) (Deflection, error) {
	axial, err := s.axial()
	if err != nil {
		return Deflection{}, err
	}
	sources := []source{s.pull(), s.length(), axial, asked}
	depth := func(x ...float64) float64 { return x[1] / 2 * math.Tan(2*halfAngle(x[0], x[1], x[2], x[3])) }
	if d := depth(s.pull().value, s.length().value, axial.value, asked.value); !(d > 0 && d <= steepest*float64(s.Length.Value)) {
		return Deflection{}, &InputError{What: what, Why: "is more than can be: over a quarter of the speaking length aside",
			Fix: "check the number, and what the string is made of"}
	}
	stretch := func(x ...float64) float64 {
		h := math.Sin(halfAngle(x[0], x[1], x[2], x[3]))
		return 2 * h * h / (1 - 2*h*h)
	}
	pull := func(x ...float64) float64 { return x[0] + x[2]*stretch(x...) }
	side := func(x ...float64) float64 { return 2 * math.Sin(2*halfAngle(x[0], x[1], x[2], x[3])) * pull(x...) }
	// T − EA and cos θ − 1 are both negative.
	rise := func(x ...float64) float64 {
		h := math.Sin(halfAngle(x[0], x[1], x[2], x[3]))
		return (x[2] - x[0]) * 2 * h * h / x[0]
	}
	raise := func(x ...float64) float64 { return 600 / math.Ln2 * math.Log1p(rise(x...)) }
	// dθ/dd = 2cos²θ/L; d(r²)/dθ = (EA−T)/T · sin θ.
	sharpness := func(x ...float64) float64 {
		theta := 2 * halfAngle(x[0], x[1], x[2], x[3])
		cos := math.Cos(theta)
		return 600 / math.Ln2 * (x[2] - x[0]) / x[0] * math.Sin(theta) / (1 + rise(x...)) * 2 * cos * cos / x[1]
	}
	var d Deflection
	force, small, slope := s.Pull.Unit, Millimetre, CentPerMillimetre
	switch s.Length.Unit {
	case Inch, Foot, Thou:
		small, slope = Inch, CentPerInch
	}
	for _, err := range []error{
		set(&d.Depth, "depth", small, depth, sources),
		set(&d.Side, "side force", force, side, sources),
		set(&d.Raise, "raise", Cent, raise, sources),
		set(&d.Pull, string(Pull), force, pull, sources),
		set(&d.Stretch, "stretch", Percent, stretch, sources),
		set(&d.Sharpness, "sharpness", slope, sharpness, sources),
	} {
		if err != nil {
			return Deflection{}, err
		}
	}
	return d, nil
}

// set concludes a law into a result.
func set[Q Quantity](to *Result[Q], what string, unit Q, law func(x ...float64) float64, sources []source) (err error) {
	*to, err = concludeDerived(what, derive(law, sources...), unit)
	return err
}
