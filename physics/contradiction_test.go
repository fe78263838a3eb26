package physics

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestContradictions(t *testing.T) {
	steel, nickel := of(t, "steel"), of(t, "nickel-200")
	good := evidenceOf(Build{Core: Core{Round, mm(0.5, 0), steel}, Wraps: []Wrap{{Wire: mm(0.4, 0), Of: nickel}}}, 0.002, 0.004, 0.02)
	change := func(f func(*Evidence)) Evidence {
		e := good
		f(&e)
		return e
	}
	named := Known{CoreOf: []Material{steel}, WrapOf: []Material{nickel}} // for speed
	for name, c := range map[string]struct {
		e    Evidence
		want string
	}{
		"light":     {change(func(e *Evidence) { e.UnitWeight.Value /= 20 }), "lighter than any build: the lightest has 1140"},
		"heavy":     {change(func(e *Evidence) { e.UnitWeight.Value *= 2 }), "heavier than any build: the heaviest has 89"},
		"not plain": {change(func(e *Evidence) { e.Known.Wraps, e.Known.CoreOf = []int{0}, []Material{steel} }), "lighter than any build of those named: the lightest has 7850"},
		"between":   {change(func(e *Evidence) { e.Known.Wraps = []int{0}; e.Stiffness = Measured[BendingStiffness]{} }), "no build of those named comes to that"},
		"stiff":     {change(func(e *Evidence) { e.Stiffness.Value *= 1000; e.Known = named }), "bending stiffness of"},
		"core":      {change(func(e *Evidence) { e.Core, e.Known = mm(0.8, 0.002), named }), "contradicts the rest, which allows 0.4"},
		"pitch":     {change(func(e *Evidence) { e.Pitch, e.Known = mm(0.9, 0.01), named }), "pitch of 0.900"},
		"thick":     {change(func(e *Evidence) { e.Core = mm(2, 0.01) }), "core of 2 mm is thicker than the whole string"},
		"wide":      {change(func(e *Evidence) { e.Pitch = mm(2, 0.01) }), "pitch of 2 mm is more than the whole string"},
		"wraps":     {change(func(e *Evidence) { e.Known.Wraps = []int{3} }), "number of wraps must be from 0 to 2"},
		"nothing":   {Evidence{}, "unit weight must be positive"},
		"NaN":       {change(func(e *Evidence) { e.Outside.Value = Length(math.NaN()) }), "gauge must be positive"},
		"infinite":  {change(func(e *Evidence) { e.Stiffness.U = BendingStiffness(math.Inf(1)) }), "finite uncertainty"},
		"unrelated": {change(func(e *Evidence) { e.Correlation = math.NaN() }), "correlation must lie"},
		"no name":   {change(func(e *Evidence) { e.Known.CoreOf = []Material{{}} }), "density of"},
	} {
		x, err := c.e.Builds()
		var input *InputError
		if !errors.As(err, &input) || !strings.Contains(err.Error(), c.want) || x.Builds != nil {
			t.Errorf("%s: %d builds, %v, want %q", name, len(x.Builds), err, c.want)
		}
	}
}
