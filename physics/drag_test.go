package physics

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// dragged are loads on the string of hung that pull so much less on the way up, and so
// much more on the way down, than half-way: of the offset given.
func dragged(offset, rubs float64, loads ...float64) (up, down []Hang) {
	return hung(offset-rubs, compliant(), loads...), hung(offset+rubs, compliant(), loads...)
}

func TestDrag(t *testing.T) {
	up, down := dragged(-1.2, 0.3, 20, 40, 60, 80, 100)
	one := must(rig().Drag(up, nil))
	printed(t, "loss on the way up", float64(one.Loss.Value), 1.5, 0.002)
	if one.Down != nil || one.Rubs.Value != 0 || one.Loss.U != one.Up.Offset.U {
		t.Errorf("%+v", one)
	}
	both := must(rig().Drag(up, down[1:4]))
	printed(t, "loss half-way", float64(both.Loss.Value), 1.2, 0.002)
	printed(t, "what rubs", float64(both.Rubs.Value), 0.3, 0.002)
	mean := float64(both.Up.Offset.U+both.Down.Offset.U) / 2
	printed(t, "its uncertainty", float64(both.Loss.U), math.Hypot(mean, 0.3/math.Sqrt(3)), 0.002)
	sum := 0.0
	for _, term := range both.Loss.Budget {
		sum += term.Share
	}
	if i := both.Loss.Budget.find("way of the load"); i < 0 || !both.Loss.Budget[i].Even || math.Abs(sum-1) > 1e-9 {
		t.Errorf("budget %+v", both.Loss.Budget)
	}
	// A hanger that nobody weighed adds to what pulls.
	added, _ := dragged(0.8, 0, 20, 40, 60)
	printed(t, "a hanger", float64(must(rig().Drag(added, nil)).Loss.Value), -0.8, 0.002)
}

// As often as U says, the loss holds what a load that is hung later takes: it has moved
// last one way or the other.
func TestDragCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	const rigs = 1000
	within, rubbed := 0, 0
	for range rigs {
		offset, rubs := 2*r.NormFloat64(), 0.5*r.Float64()
		up, down := dragged(offset, rubs, 20, 40, 60, 80, 100)
		for _, hangs := range [][]Hang{up, down} {
			for i := range hangs {
				hangs[i].Load.Force.Value *= Force(1 + 1e-3*r.NormFloat64())
			}
		}
		d, err := rig().Drag(up, down)
		if err != nil { // loads that lie too far off by chance
			continue
		}
		truth := -offset + rubs*(2*r.Float64()-1)
		if math.Abs(float64(d.Loss.Value)-truth) <= Coverage*float64(d.Loss.U) {
			within++
		}
		if math.Abs(float64(d.Rubs.Value)-rubs) <= Coverage*float64(d.Rubs.U) {
			rubbed++
		}
	}
	if within < 94*rigs/100 || rubbed < 92*rigs/100 {
		t.Errorf("U holds the loss in %d and what rubs in %d of %d", within, rubbed, rigs)
	}
}

func TestDragRefuses(t *testing.T) {
	up, down := dragged(-1, 0.3, 20, 40, 60, 80, 100)
	// A rope around a bollard: what rubs grows with the load (Euler and Eytelwein).
	grows := func(by float64) (all []Hang) {
		all = hung(-1, compliant(), 20, 40, 60, 80, 100)
		for i := range all {
			all[i].Load.Force.Value *= Force(by)
		}
		return all
	}
	odd := hung(-1, compliant(), 20, 40, 60, 80, 100)
	odd[2].Load.Force.Value += 3
	for what, c := range map[string]struct {
		up, down []Hang
		want     string
	}{
		"none":                {nil, nil, "loads are missing"},
		"two":                 {up[:2], nil, "are two, which always have a line"},
		"two on the way":      {up, down[:2], "loads taken off are two"},
		"one that is odd":     {odd, nil, "63N lies off the line"},
		"ways mixed up":       {down, up, "pull less on the way down"},
		"grows with the load": {grows(1.03), grows(0.97), "that is no one force"},
	} {
		d, err := rig().Drag(c.up, c.down)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", what, err, c.want)
		}
		if d.Loss.Value != 0 || d.Loss.U != 0 {
			t.Errorf("%s: an error and a loss of %v", what, d.Loss)
		}
	}
}
