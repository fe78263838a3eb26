package synth

// A Take is one recording of a synthetic string. The zero value of every field
// but String, Pickup.At, Rate and Seconds means "without".
type Take struct {
	String  String
	Plucks  []Pluck // in order of time; each stops what rang before, see Render
	Pickup  Pickup
	Rate    float64 // Hz, sample rate
	Seconds float64 // length of the take

	Level        float64 // dBFS, peak of the string as recorded, behind the high-pass; 0 is full scale
	MaxPartials  int     // highest partial rendered; 0 for all below the Nyquist frequency
	Omit         []int   // partials left out
	RandomPhases bool    // partials start with phases drawn by Seed, not released from rest
	Ramp         float64 // cents per second by which the string is being tuned from the start of the take on
	Damp         float64 // s, when a hand is laid on the string; 0 for never
	Neighbors    []Neighbor
	Attack       Attack
	HighPass     HighPass
	Hum          Hum
	Noise        []Noise
	Clip         float64 // samples beyond ±Clip are cut off; 0 for none
	Bits         int     // quantised to integers of so many bits, undithered; 0 for none
	Seed         uint64  // of everything random
}

// Quantity is what a pickup turns into a signal.
type Quantity int

const (
	Velocity     Quantity = iota // of the string at Pickup.At, like a magnetic pickup
	Displacement                 // of the string at Pickup.At
	BridgeForce                  // T·y′ − EI·y‴ at the bridge, like a pickup in the saddle; Pickup.At plays no part
)

// A Pickup senses the string. Before the onset of a pluck it reads 0: drawing
// the string aside is silent, so displacement and force jump at the onset and
// velocity does not.
type Pickup struct {
	Senses Quantity
	At     float64 // fraction of the speaking length, from the same end as Pluck.Point
}

// A Neighbor is another string ringing in the same take.
type Neighbor struct {
	String String
	Pluck  Pluck
	Level  float64 // dB, its peak over that of the take's own string (over full scale + Take.Level)
}

// An Attack is a burst of white noise at every onset, falling as exp(-t/Seconds).
type Attack struct {
	Level   float64 // dB, its rms at the onset, before the high-pass, over the peak of the string
	Seconds float64 // 0 for none
}

// A HighPass is a Butterworth filter by the bilinear transform, its corner
// exactly 3.01 dB down: what a microphone chain does to low notes.
type HighPass struct {
	Corner float64 // Hz
	Order  int     // 0 for none
}

// Hum is mains hum: harmonics k = 1 to Harmonics of Freq, of amplitude 1/k, in
// phases drawn by Take.Seed.
type Hum struct {
	Freq      float64 // Hz
	Level     float64 // dBFS, amplitude of the first harmonic
	Harmonics int     // 0 for none
}

// Color is the spectrum of a noise.
type Color int

const (
	White  Color = iota // equal power at all frequencies below Nyquist
	Pink                // power density 1/f from 10 Hz to Nyquist, none below
	Rumble              // power density 1/(1+(f/30 Hz)⁸) from 5 Hz to Nyquist, none below
)

// Reference is what a noise level is measured against.
type Reference int

const (
	// SNR makes DB the signal-to-noise ratio: the mean power of the string as
	// recorded (all its partials, without attack and neighbours) over the second
	// that follows the first onset, or up to the next pluck, the hand or the
	// take's end where that is sooner, over the variance of the noise in the full
	// band from 0 to the Nyquist frequency.
	SNR Reference = iota
	// FullScale makes DB the rms of the noise in dB over 1.
	FullScale
)

// Noise is stationary Gaussian noise of the stated variance; what one take's
// samples measure varies around it as samples of a variance do.
type Noise struct {
	Color     Color
	DB        float64
	Reference Reference
}
