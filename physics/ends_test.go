package physics

import (
	"math"
	"testing"
)

// The plain arithmetic is that of the checked road.
func TestShareIsTensionsFactor(t *testing.T) {
	for _, e := range []Ends{EndsUnknown, EndsPinned, EndsClamped} {
		for _, b := range []Measured[Inharmonicity]{{}, {U: 2e-4}, Stated[Inharmonicity](6e-5, 1e-6), Stated[Inharmonicity](0.02, 0.03)} {
			if got, want := e.Share(Midway(b)), e.factor(b).value; math.Abs(got-want) > 1e-15 {
				t.Errorf("%v, %v: %v, not %v", e, b, got, want)
			}
		}
	}
}
