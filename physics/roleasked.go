package physics

// The roles of what is asked of a string under its pull.
const (
	Warming        Role[TemperatureStep] = "temperature difference"
	BendInterval   Role[PitchInterval]   = "bend"
	PushDepth      Role[Length]          = "push"
	FrameExpansion Role[Expansion]       = "expansion of the frame"
)

// usageAsked is usage for these roles. What somebody asks after is taken as it is,
// without an uncertainty.
func (r Role[Q]) usageAsked() usage {
	switch string(r) {
	case string(Warming):
		return usage{min: 0.01, max: 60, example: "5K or 9°F"}
	case string(BendInterval):
		return usage{min: 1, max: 1200, example: "100cents or 1semitone"}
	case string(PushDepth):
		return usage{min: 0.05e-3, max: 0.2, example: "5mm or 0.2in"}
	case string(FrameExpansion):
		// No solid expands less than glass ceramic or more than plastics.
		return usage{min: 1e-8, max: 200e-6, assumedRelative: 0.2, example: "4ppm/K"}
	}
	return kindOf[Q]().anyUsage()
}
