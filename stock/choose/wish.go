package choose

import (
	"fmt"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// Measure is what of a string a wish is about.
type Measure int

const (
	Pull Measure = iota
	// Push is the side force that pushes the string aside at mid-length by a depth,
	// 4Td/L + 8EAd³/L³: what it feels like, stiffness counted.
	Push
)

// A Wish is what the strings should be like. The zero value wishes for pulls that are
// as even as possible.
type Wish struct {
	Of    Measure
	Depth physics.Length // of a Push
	// Targets is what is wanted at each position. The best set has the least sum of
	// squares of what it is off by. Where there are none, the best set has the least
	// spread, from its lowest to its highest, and of those of one spread the least sum
	// of squares from Near.
	Targets []physics.Force
	// Near is what they should be near to where there are no targets; zero for any.
	Near physics.Force
	// Within is how far a string may be off its target, or off Near; zero for as far
	// as it takes. A position that no string can fill then stays empty.
	Within physics.Force
}

// Level wishes for the same at all of n positions.
func Level(n int, f physics.Force) Wish {
	w := Wish{}
	for range n {
		w.Targets = append(w.Targets, f)
	}
	return w
}

// Slope wishes for a straight line over the positions in the order of their pitch, from
// the lowest to the highest; those of one pitch have the same.
func Slope(positions []Position, lowest, highest physics.Force) Wish {
	var pitches []physics.Frequency
	for _, p := range positions {
		pitches = append(pitches, p.F0)
	}
	slices.Sort(pitches)
	pitches = slices.Compact(pitches)
	w := Wish{}
	for _, p := range positions {
		t := 0.0
		if i := slices.Index(pitches, p.F0); i > 0 {
			t = float64(i) / float64(len(pitches)-1)
		}
		w.Targets = append(w.Targets, lowest+physics.Force(t)*(highest-lowest))
	}
	return w
}

// Each wishes for a pull of its own at each position, as of another instrument.
func Each(pulls ...physics.Force) Wish { return Wish{Targets: pulls} }

// Even wishes for pulls as even as possible, within so much of a level.
func Even(near, within physics.Force) Wish { return Wish{Near: near, Within: within} }

// Pushed is the wish of side forces, in place of pulls, at a depth.
func (w Wish) Pushed(depth physics.Length) Wish {
	w.Of, w.Depth = Push, depth
	return w
}

// Like wishes, position by position, for what another instrument has: there must be one
// of its strings at each of its positions. The error is an *InputError.
func (w Wish) Like(positions []Position, strings []traits.String) (Wish, error) {
	if len(positions) != len(strings) {
		return Wish{}, &physics.InputError{What: "instrument to be like", Why: fmt.Sprintf("has %d positions and %d strings", len(positions), len(strings))}
	}
	w.Targets = nil
	for i, p := range positions {
		if err := p.check(i); err != nil {
			return Wish{}, err
		}
		if err := strings[i].Check(); err != nil {
			return Wish{}, err
		}
		pull, err := PullOf(p, strings[i])
		if err != nil {
			return Wish{}, err
		}
		f := pull.Value
		if w.Of == Push {
			f = pushed(p, &strings[i], pull, w.Depth).Value
		}
		w.Targets = append(w.Targets, f)
	}
	return w, nil
}

// Check returns an *InputError for a wish that makes no sense at the positions.
func (w Wish) Check(positions []Position) error {
	if w.Of != Pull && w.Of != Push {
		return &physics.InputError{What: "wish", Why: "is about nothing known", Fix: "use Pull or Push"}
	}
	if w.Of == Push && (!(w.Depth > 0) || math.IsInf(float64(w.Depth), 0)) {
		return &physics.InputError{What: "wish", Why: "is of a push without a depth"}
	}
	if len(w.Targets) != 0 && len(w.Targets) != len(positions) {
		return &physics.InputError{What: "wish", Why: fmt.Sprintf("is for %d positions, not for %d", len(w.Targets), len(positions)),
			Fix: "give a value for each position, in their order"}
	}
	for i, t := range w.Targets {
		if !(t > 0) || math.IsInf(float64(t), 0) {
			return &physics.InputError{What: "wish", Why: "must be above zero at each position"}
		}
		if err := w.plausible(positions, i, t); err != nil {
			return err
		}
	}
	if !notNegative(float64(w.Near)) || !notNegative(float64(w.Within)) {
		return &physics.InputError{What: "wish", Why: "must be above zero, or zero for none"}
	}
	if w.Near > 0 {
		for i := range positions {
			if err := w.plausible(positions, i, w.Near); err != nil {
				return err
			}
		}
	}
	if len(w.Targets) == 0 && w.Within > 0 && w.Near == 0 {
		return &physics.InputError{What: "wish", Why: "is to be within something of nothing", Fix: "name the level that it is near"}
	}
	return nil
}

// hardest is more than any string pulls that somebody pushes aside by hand (judgement): who
// wishes for the side force of one has named a pull.
const hardest physics.Force = 1000

// plausible refuses what no string could be at a position.
func (w Wish) plausible(positions []Position, i int, f physics.Force) error {
	if w.Of == Pull {
		return physics.Pull.Check(f)
	}
	pull := supple(f, positions[i].Length.Value, w.Depth)
	if physics.Pull.Check(pull) == nil && pull <= hardest {
		return nil
	}
	return &physics.InputError{What: "side force", Text: f.String(), Why: fmt.Sprintf("is implausible at position %d: that takes a pull of %s", i+1, physics.Format(pull, 0, 3)),
		Fix: "a string that pulls 160 N is pushed aside by " + physics.Format(sideways(160, positions[i].Length.Value, w.Depth), 0, 2)}
}
