package choose

import (
	"fmt"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Retuned is a set of strings at other notes.
type Retuned struct {
	Strings       []RetunedString               // in the order of the positions
	Before, After physics.Result[physics.Force] // all pulls
	Spread        physics.Force                 // of the pulls, afterwards
}

// A RetunedString is one string at another note.
type RetunedString struct {
	Before, After physics.Result[physics.Force] // pull
	Interval      physics.PitchInterval         // up
	// Load is the part of the lowest strength of the standards that the core carries
	// afterwards; nil where that is not known.
	Load   *physics.Limit
	Doubts []Doubt
}

// Retune is what becomes of strings, one at each position, at other notes. Unit weight
// and stiffness are taken to stay: what a core gives changes them by some parts in a
// thousand. The error is an *InputError.
func Retune(positions []Position, strings []traits.String, to []physics.Frequency) (Retuned, error) {
	if len(positions) == 0 || len(strings) != len(positions) || len(to) != len(positions) {
		return Retuned{}, &physics.InputError{What: "retuning", Why: fmt.Sprintf("of %d positions needs as many strings and notes, not %d and %d",
			len(positions), len(strings), len(to))}
	}
	var out Retuned
	var before, after []physics.Result[physics.Force]
	for i, p := range positions {
		if err := p.check(i); err != nil {
			return Retuned{}, err
		}
		if err := strings[i].Check(); err != nil {
			return Retuned{}, err
		}
		s, err := p.retuned(strings[i], to[i], i)
		if err != nil {
			return Retuned{}, err
		}
		out.Strings = append(out.Strings, s)
		before, after = append(before, s.Before), append(after, s.After)
	}
	low, high := out.Strings[0].After.Value, out.Strings[0].After.Value
	for _, s := range out.Strings {
		low, high = min(low, s.After.Value), max(high, s.After.Value)
	}
	out.Spread = high - low
	var err error
	if out.Before, err = physics.Total(before, physics.OneBench); err != nil {
		return Retuned{}, err
	}
	out.After, err = physics.Total(after, physics.OneBench)
	return out, err
}

func (p Position) retuned(s traits.String, to physics.Frequency, i int) (RetunedString, error) {
	before, err := PullOf(p, s)
	if err != nil {
		return RetunedString{}, err
	}
	from := p.F0
	p.F0 = to
	if err := p.check(i); err != nil {
		return RetunedString{}, err
	}
	after, err := PullOf(p, s)
	if err == nil {
		err = physics.Pull.Check(after.Value)
	}
	if err != nil {
		return RetunedString{}, fmt.Errorf("position %d: %w", i+1, err)
	}
	r := RetunedString{Before: before, After: after, Interval: physics.PitchInterval(physics.CentsBetween(from, to)), Load: loadOf(p, &s, after)}
	r.Doubts = strain(r.Load)
	return r, nil
}
