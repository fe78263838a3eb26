// Package detect listens: from samples to plucks to a Reading of the string's
// fundamental and inharmonicity, with uncertainties and doubts. It is pure: no
// files, clocks, devices or printing, and it knows neither strings nor newtons.
package detect

// A Value is a measured quantity and its standard uncertainty (k = 1), in the
// same unit.
type Value struct {
	V, U float64
}

// Code names a kind of doubt. The codes are stable: scripts may rely on them.
type Code string

const (
	Clipped      Code = "clipped"       // the recording ran into its limits
	TooShort     Code = "too_short"     // too little of the pluck to measure
	TooQuiet     Code = "too_quiet"     // the pluck hardly stands out of the noise
	OctaveOpen   Code = "octave_open"   // the sound leaves two fundamentals open
	TwoStrings   Code = "two_strings"   // more than one string is ringing
	Hum          Code = "hum"           // mains hum takes part in what is heard
	NotAString   Code = "not_a_string"  // partials obey no stiff-string law, or nothing decays
	Unsteady     Code = "unsteady"      // pitch moves otherwise than a dying pluck's
	Overrun      Code = "overrun"       // samples are missing or damaged within the pluck
	Misfit       Code = "misfit"        // partials scatter about the law more than noise explains
	NoStiffness  Code = "no_stiffness"  // too few partials to measure inharmonicity
	Scatter      Code = "scatter"       // the plucks of a take disagree
	NotExpected  Code = "not_expected"  // what was heard is not the note named
	NothingHeard Code = "nothing_heard" // no pluck in the take
	NoShift      Code = "no_shift"      // a mass on the string does not show in its partials
	Misplaced    Code = "misplaced"     // a mass on the string does not sit where it was said to
	HalfHeard    Code = "half_heard"    // of a string with a mass at its middle no even partials are heard
)

// A Doubt is a reason why a reading may not be trusted, or a remark on it.
type Doubt struct {
	Code Code
	Say  string // one sentence for a person
	// Fatal marks a doubt that takes the trust away.
	Fatal bool
}

// A Partial is one mode of the string as heard in one pluck.
type Partial struct {
	N       int     // number of the partial, 1 is the fundamental
	Freq    Value   // Hz, at rest
	LevelDB float64 // dB re full scale, amplitude at the start of the window
	Decay   float64 // amplitude decay rate, 1/s
	SNRdB   float64 // power over the noise in the bins it was measured from, dB
	Pulls   float64 // distance from the fitted law, in standard uncertainties
	Used    bool    // part of the fit
}

// A Pluck is one excitation and what was measured from it. The numbers mean
// something only where Trusted is true.
type Pluck struct {
	Start      float64 // s from the take's first sample: the onset
	From, To   float64 // s: the window that was measured
	F0         Value   // Hz, the flexible string at rest: what T = 4µL²f0² takes
	F1         Value   // Hz, the first partial as it sounds, at rest
	B          Value   // inharmonicity; V is 0 and U what is plausible where BKnown is false
	BKnown     bool
	Corr       float64 // correlation coefficient of F0 and B: one fit told both
	GlideCents float64 // how far above rest the pluck starts, cents
	SNRdB      float64 // power of the partials over the noise around them, dB
	Partials   []Partial
	Load       *Load // what a mass on the string does; nil where none was looked for
	Trusted    bool
	Doubts     []Doubt

	explained float64 // dB, the partials over what their fit leaves
	kept      float64 // partials heard over those that stood out clearly
	slope     Value   // relative, 1/s: how the pitch moves besides its glide; zero where none was looked for
	sloping   bool    // it does so beyond doubt
	mayGlide  float64 // relative, the glide by the mean of all that may be so
	alien     float64 // relative, as fit.alien
	stray     float64 // relative, as motion.stray
	faded     bool    // all its partials share one envelope
	fall      float64 // 1/s: how fast they die together
}

// A Reading pools the trusted plucks of a take; repeatability is part of its
// uncertainties.
type Reading struct {
	F0, F1 Value
	B      Value
	BKnown bool
	Load   *Load   // nil where no mass was looked for
	Corr   float64 // correlation coefficient of F0 and B
	Plucks int     // how many were pooled
	// DoF is the degrees of freedom of F0.U, as far as it comes from how the plucks
	// scatter; 0 where it does not, so that it is as good as the model of the sound.
	DoF    float64
	Doubts []Doubt
}

// A Take is what was heard in one recording.
type Take struct {
	Rate    float64 // Hz
	Seconds float64
	Plucks  []Pluck
	Reading *Reading // nil when no pluck can be trusted
	Doubts  []Doubt  // on the take as a whole
}
