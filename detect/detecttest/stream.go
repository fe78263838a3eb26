package detecttest

import (
	"fmt"
	"math/rand/v2"
)

// A Stream is a supply of random takes. Figures of accuracy count only on takes
// that no threshold was tuned on, so there are two.
type Stream uint64

const (
	Tuning    Stream = 40417   // for tests, and for whoever changes the detector
	Reporting Stream = 8675541 // for the figures that are published, and for nothing else
)

var streams = map[string]Stream{"tuning": Tuning, "reporting": Reporting}

// String is the name that ParseStream knows.
func (s Stream) String() string {
	for name, t := range streams {
		if s == t {
			return name
		}
	}
	return fmt.Sprintf("stream %d", uint64(s))
}

// ParseStream returns the stream of that name.
func ParseStream(name string) (Stream, error) {
	s, ok := streams[name]
	if !ok {
		return 0, fmt.Errorf("no stream is called %q: use tuning or reporting", name)
	}
	return s, nil
}

// Kinds of takes, each of which draws from a part of the stream of its own.
const (
	kindHard = iota
	kindClean
	kindRest
	kinds
)

// A draw makes random choices.
type draw struct{ *rand.Rand }

func (s Stream) draw(kind int, i uint64) draw {
	return draw{rand.New(rand.NewPCG(i, uint64(s)*kinds+uint64(kind)))}
}

func (d draw) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

func (d draw) pick(v ...float64) float64 { return v[d.IntN(len(v))] }
