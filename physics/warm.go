package physics

import "math"

// A Warmed string is one at another temperature.
type Warmed struct {
	Shift  Result[PitchInterval] // of the pitch
	Pull   Result[Force]
	Change Result[Force] // of the pull
}

// Warmed is the string after so many kelvin, fewer than none where it is colder,
// on a frame that expands by so much (zero for a rigid one). The core expands
// against the frame and its modulus falls by κ per kelvin:
//
//	T' = EA (1−κΔθ) (T/EA + (α_frame−α)Δθ),  f'/f = √(T'/(T (1+α_frame Δθ))),
//
// the mass between the ends being the same. To first order, with neither κ nor
// α_frame, that is the textbook's df/f = −αEΔθ/(2σ). A κ that nobody measured is not
// in the value: Materials has it at zero with an uncertainty of 3e-4 per kelvin,
// which makes ±0.26 cents per kelvin whatever the stress. String and frame are taken
// to have both come to the new temperature; moisture is left out. Terms: those of the pull,
// "core", "modulus of", "expansion of" and "softening of" the material, "expansion
// of the frame", and "temperature difference" where they have an uncertainty.
func (s Strung) Warmed(by Measured[TemperatureStep], frame Measured[Expansion]) (Warmed, error) {
	axial, err := s.axial()
	if err != nil {
		return Warmed{}, err
	}
	of := s.Core.Of
	if err := checkWarming(of, by, frame); err != nil {
		return Warmed{}, err
	}
	sources := []source{s.pull(), axial, from("expansion of "+of.Name, of.Expansion),
		from("softening of "+of.Name, of.Softening), from(string(FrameExpansion), frame), from(string(Warming), by)}
	pull := func(x ...float64) float64 {
		pull, axial, expansion, softening, frame, by := x[0], x[1], x[2], x[3], x[4], x[5]
		return axial * (1 - softening*by) * (pull/axial + (frame-expansion)*by)
	}
	change := func(x ...float64) float64 { return pull(x...) - x[0] }
	shift := func(x ...float64) float64 { return 600 * math.Log2(pull(x...)/(x[0]*(1+x[4]*x[5]))) }

	after := derive(pull, sources...)
	if !(after.value > 0) {
		return Warmed{}, &InputError{What: "string", Why: "would go slack before it is as warm as that",
			Fix: "ask after a smaller change, and check the core and its material"}
	}
	var w Warmed
	if w.Pull, err = concludeDerived(string(Pull), after, s.Pull.Unit); err != nil {
		return Warmed{}, err
	}
	if w.Change, err = concludeChange("change of the pull", derive(change, sources...), s.Pull.Unit); err != nil {
		return Warmed{}, err
	}
	if w.Shift, err = concludeChange("shift", derive(shift, sources...), Cent); err != nil {
		return Warmed{}, err
	}
	return w, nil
}

func checkWarming(of Material, by Measured[TemperatureStep], frame Measured[Expansion]) error {
	if of.Expansion.Value == 0 || of.Softening.U == 0 {
		return &InputError{What: "what warmth does to " + of.Name, Why: "is not known well enough: it softens, and swells with moisture",
			Fix: "tune it once at both temperatures, and listen to it"}
	}
	if err := of.Expansion.check("expansion of " + of.Name); err != nil {
		return err
	}
	softening := "softening of " + of.Name
	if v := float64(of.Softening.Value); !(math.Abs(v) < 1) {
		return &InputError{What: softening, Why: "must be less than all of it per kelvin, not " + number(v)}
	}
	if err := checkU(softening, float64(of.Softening.U)); err != nil {
		return err
	}
	step := by
	step.Value = TemperatureStep(math.Abs(float64(by.Value)))
	if err := step.check(string(Warming)); err != nil {
		return err
	}
	if err := Warming.Check(step.Value); err != nil {
		return err
	}
	if frame == (Measured[Expansion]{}) {
		return nil // rigid
	}
	return frame.check(string(FrameExpansion))
}
