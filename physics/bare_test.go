package physics

import (
	"math"
	"testing"
)

// Bare figures are those with an account.
func TestBareFigures(t *testing.T) {
	same := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got/want-1) > 1e-12 {
			t.Errorf("%s: %v, not %v", what, got, want)
		}
	}
	for _, m := range Materials() {
		for _, shape := range []Shape{Round, Hexagonal} {
			for _, d := range []float64{0.05, 0.12, 0.3, 0.5, 1, 3} {
				c := Core{shape, mm(d, 0.001), m}
				same("EI", float64(c.EI()), float64(must(c.Stiffness()).Value))
				same("EA", float64(c.EA()), float64(must(c.Axial()).Value))
				pull, ok := c.Breaks()
				known, err := c.Strengths()
				if ok != (err == nil) {
					t.Fatalf("%v of %v mm: %v, %v", m.Name, d, ok, err)
				}
				if ok {
					same("load where it breaks", float64(pull)/shape.area()/1e-6/d/d, float64(known[0].Least))
				}
			}
		}
	}
}
