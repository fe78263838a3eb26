package physics

import "strings"

// ParseWrap reads a wrap as the diameter of its wire, the pitch behind an @ where
// turns do not touch, and the material behind a colon: "0.5mm:nickel-200" or
// "0.5mm±0.005mm@0.55mm:bronze-80/20". The error is an *InputError.
func ParseWrap(s string) (Wrap, error) {
	sizes, name, found := strings.Cut(s, ":")
	if !found || strings.TrimSpace(name) == "" {
		return Wrap{}, &InputError{"wrap", s, "names no material",
			"write it like 0.5mm:nickel-200, or 0.5mm@0.55mm:nickel-200 where turns do not touch"}
	}
	wire, pitch, open := strings.Cut(sizes, "@")
	var (
		w   Wrap
		err error
	)
	if w.Wire, err = WrapWire.Parse(wire); err != nil {
		return Wrap{}, err
	}
	if open {
		if w.Pitch, err = WrapPitch.Parse(pitch); err != nil {
			return Wrap{}, err
		}
	}
	if w.Of, err = ParseMaterial(name); err != nil {
		return Wrap{}, err
	}
	return w, nil
}
