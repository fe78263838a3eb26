package view

// A Sign is what is heard at a moment. Pitch is a first one, good to some cents.
type Sign struct {
	Seconds float64 // of sound so far
	LevelDB float64 // dB re full scale
	Note    string  // nearest to the pitch, empty for none
	Cents   float64 // above that note
	Ringing bool    // a pluck is sounding
}

// A Pluck is one that was measured.
type Pluck struct {
	Number  int
	Onset   float64 // s
	To      float64 // s, where the sound that was measured ends
	Trusted bool
	Big     []string // what is to be read from afar; the first that fits
	Beside  string   // what belongs to it and may be smaller: the uncertainty and its k
	Facts   []string // what else came of it
	Note    string   // nearest to the first partial, empty for not known
	Cents   float64  // above that note
	U       float64  // expanded uncertainty of it, cents
	Rungs   []Rung
	Loaded  bool     // a mass on the string moves its partials off the law of a bare one
	Doubts  []string // in words; why, where it cannot be trusted
}

// A Rung is one partial.
type Rung struct {
	N       int
	Off     float64 // cents above the law that was fitted to all
	U       float64 // standard uncertainty, cents
	LevelDB float64 // dB, of any reference
	Used    bool    // by the fit
}

// A Place is a position of an instrument, and what is known of its string.
type Place struct {
	Name    string // number and note
	Good    bool   // known well enough
	Heard   bool
	Words   string    // what is known, or what it waits for
	Reaches []float64 // expanded uncertainties of the pitch, cents, as plucks made them
	Latest  bool      // it was heard last
}

// A Strung instrument is its places.
type Strung struct {
	Places []Place
	Done   string // how far it has come
	Wanted string // what to do next
	Known  string // what the uncertainties are held against, with their k
}

// A Course is readings over time, and the law that they follow.
type Course struct {
	X, Y     string // names of the axes, with units
	Points   []Point
	Law      []Law // from left to right
	Ahead    float64
	Big      []string
	Beside   string
	Verdict  string
	Facts    []string
	Waiting  string // what it waits for, while there is no law
	K        float64
	Readings int
}

// A Point is a reading.
type Point struct {
	X, Y, U float64
	Odd     bool // it does not belong to the law
}

// Law is what the readings follow at X, and its standard uncertainty.
type Law struct{ X, Y, U float64 }
