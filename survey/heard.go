package survey

import (
	"math"

	"pluckweigh/physics"
)

// A Place is a position of an instrument, as its string is recognised.
type Place struct {
	Note physics.Frequency // that it is tuned to
	// Like is the same for places whose strings and lengths are alike, so that it does
	// not matter which of them is which; empty where that is not known.
	Like string
}

// Nowhere is no position.
const Nowhere = -1

// A Heard is what was measured of one pluck.
type Heard struct {
	F0 physics.Measured[physics.Frequency]     // of the flexible string, without a clip
	F1 physics.Measured[physics.Frequency]     // the first partial, that of F0 where a clip is on
	B  physics.Measured[physics.Inharmonicity] // Assumed where it was not heard
	// Corr is the correlation of F0 and B.
	Corr float64
	// Named is the position that somebody said it is of, from 0; Nowhere for none.
	Named int
	// Stroke is the same for two strings that sounded together, which are different ones; 0
	// for one that was heard by itself.
	Stroke int
	// Clip is what a clip on the string does; nil for none.
	Clip *Clip
}

// A Clip is what a clip on a string says of it.
type Clip struct {
	Mass        physics.Measured[physics.Mass] // of the clip
	Ratio, U    float64                        // of its mass to the string's
	Correlation float64                        // of Ratio and F0
}

// Rules say what is taken for granted.
type Rules struct {
	// Out is how far a string may be out of tune, cents; Down by how much all are tuned
	// lower than their notes, on purpose.
	Out, Down float64
	// Good is the expanded uncertainty (k = 2) of a pitch that is good enough, cents.
	Good float64
	// InOrder says that strings of one note are plucked in the order of their places,
	// each until it is good.
	InOrder bool
}

const (
	// oneVoice is how far apart plucks of a string that nobody touched lie, cents, beyond
	// what each may be off by: common practice, no source.
	oneVoice = 5.0
	// oneString is how far a string may have moved between plucks, cents. Plucks that are
	// further apart are of two strings, unless somebody turned a peg.
	oneString = 25.0
	// oneNote is within which two places have the same note, cents.
	oneNote = 0.5
	// farthest is beyond which a string is not the one that it was said to be, cents.
	farthest = 700.0
)

// cents is the interval from one frequency up to another.
func cents(from, to physics.Frequency) float64 { return physics.CentsBetween(from, to) }

// uncertain is the standard uncertainty of a pitch, cents.
func uncertain(m physics.Measured[physics.Frequency]) float64 {
	return m.Relative() * 1200 / math.Ln2
}
