package choose

import (
	"math"
	"testing"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// What is needed has the unit weight that is asked for, pulls as wished and keeps the
// limits.
func TestNeedPullsAsWished(t *testing.T) {
	for _, tt := range []struct {
		name  string
		p     Position
		pull  physics.Force
		load  physics.Fraction
		wraps int
		none  bool
	}{
		{"a bass string", Position{F0: 41.2, Length: physics.Stated[physics.Length](0.8636, 5e-4)}, 180, 0, 1, false},
		{"a plain one", Position{F0: 329.63, Length: physics.Stated[physics.Length](0.648, 5e-4)}, 70, 0, 0, false},
		{"wound, where plain would do", Position{F0: 196, Length: physics.Stated[physics.Length](0.648, 5e-4), Kind: traits.Wound}, 75, 0.7, 1, false},
		{"too narrow a slot", Position{F0: 41.2, Length: physics.Stated[physics.Length](0.8636, 5e-4), Slot: Slot{Most: 1e-3}}, 180, 0, 0, true},
	} {
		q := Question{Positions: []Position{tt.p}, Wish: Each(tt.pull), Limits: Limits{MostLoad: tt.load}}
		c, err := q.Best()
		if err != nil {
			t.Fatal(err)
		}
		n := c.Picks[0].Need
		if n == nil || tt.none != (n.Build.Core.Size.Value == 0) {
			t.Fatalf("%s: %+v", tt.name, n)
		}
		if tt.none {
			continue
		}
		w, err := n.Build.UnitWeight()
		if err != nil || math.Abs(float64(w.Value/n.UnitWeight)-1) > 1e-3 || len(n.Build.Wraps) != tt.wraps {
			t.Errorf("%s: %v is to weigh %v and weighs %v (%v)", tt.name, n.Build, n.UnitWeight, w.Value, err)
		}
		got, err := PullOf(tt.p, traits.String{UnitWeight: w.Measured, Core: n.Build.Core})
		if err != nil || math.Abs(float64(got.Value/tt.pull)-1) > 2e-3 {
			t.Errorf("%s: pulls %v, not %v (%v)", tt.name, got.Value, tt.pull, err)
		}
	}
}
