package physics

// ParseFrame reads how an instrument's frame expands: "rigid", "wood" or an
// expansion, like 4ppm/K. The error is an *InputError.
func ParseFrame(s string) (Measured[Expansion], error) {
	switch s {
	case "rigid":
		return Measured[Expansion]{}, nil
	case "wood":
		// Along the grain most kinds expand by 3 to 5 ppm/K (from memory); moisture
		// moves wood more than warmth does.
		return Measured[Expansion]{Value: 4e-6, U: 1e-6, Assumed: true}, nil
	}
	m, err := FrameExpansion.Parse(s)
	if input, ok := err.(*InputError); ok && firstRune(s) > '9' {
		input.Why, input.Fix = "is not known", "write rigid, wood, or what it expands by, like 12ppm/K for steel"
	}
	return m, err
}
