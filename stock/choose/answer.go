package choose

import (
	"fmt"
	"math"

	"pluckweigh/physics"
)

// A Set is a string, or none, at each position of an instrument.
type Set struct {
	Picks []Pick // in the order of the positions
	// Objective is what the best set has the least of: the root mean square of what
	// the strings are off their targets, or the spread where evenness is wished for.
	Objective physics.Force
	// Spread is from the lowest to the highest of what the wish is about.
	Spread physics.Force
	Total  physics.Result[physics.Force] // of all pulls; zero where all positions are empty
}

// Filled is how many positions have a string.
func (s Set) Filled() int {
	n := 0
	for _, p := range s.Picks {
		if p.String != Empty {
			n++
		}
	}
	return n
}

// Close tells whether the set is nearer to the wish than its pulls are known to, by
// their expanded uncertainty: another may then be as good.
func (s Set) Close() bool {
	known := physics.Force(math.Inf(1))
	for _, p := range s.Picks {
		u := p.Pull.U
		if p.Push.Value > 0 {
			u = p.Push.U
		}
		if p.String != Empty {
			known = min(known, physics.Coverage*u)
		}
	}
	return s.Objective < known && s.Filled() > 0
}

// A Pick is what goes to a position.
type Pick struct {
	Position int           // from 0 on
	String   int           // index of the string; Empty for none
	Wanted   physics.Force // by the wish; 0 where it names no value
	Pull     physics.Result[physics.Force]
	// Push is the side force, where the wish is about it.
	Push physics.Measured[physics.Force]
	// Load is how near the core is to the lowest strength that the standards have for
	// its wire; nil where that is not known.
	Load *physics.Limit
	// Need is what the position would take; nil where it has a string.
	Need   *Need
	Doubts []Doubt
}

// Empty is the String of a Pick that has none.
const Empty = empty

// A Choice answers a Question.
type Choice struct {
	Set
	Alternatives []Alternative // the next best sets, the best first
	// Gap is by how much the sum of squares, in N², may be above the least where a limit
	// of the total made the search too long to be finished; 0 where the set is proved to
	// be the best.
	Gap float64
}

// An Alternative is another set and what it changes.
type Alternative struct {
	Set
	Changes []Change
}

// A Change is a position at which an alternative has another string.
type Change struct {
	Position, From, To int
	Pull               physics.Force // by how much more it pulls
}

// Best finds the set that comes nearest to the wish, exactly: there is none better
// within the limits. As many positions as can be are filled before all else. The error
// is an *InputError.
func (q Question) Best() (Choice, error) {
	if err := q.Check(); err != nil {
		return Choice{}, err
	}
	b := newBench(q)
	solve, most := b.solver()
	found := ranked(1+q.Alternatives, solve, most)
	if len(found) == 0 {
		return Choice{}, b.tooTight()
	}
	c := Choice{Gap: found[0].gap}
	for i, s := range found {
		set, err := b.set(s)
		if err != nil {
			return Choice{}, err
		}
		if i == 0 {
			c.Set = set
		} else {
			c.Alternatives = append(c.Alternatives, Alternative{set, changes(found[0].set, s.set)})
		}
	}
	return c, nil
}

// tooTight says that the limit of the total cannot be kept.
func (b *bench) tooTight() error {
	return &physics.InputError{What: "total pull",
		Why: fmt.Sprintf("of %s cannot be kept", physics.Format(b.Limits.Total, 0, 4)),
		// Raised, so that it can be kept however it is rounded.
		Fix: fmt.Sprintf("the least that these strings can do is about %s", physics.Format(physics.Force(pullOf(b.lowest())*1.0005), 0, 4))}
}

// set is a solution with all its uncertainties.
func (b *bench) set(s solution) (Set, error) {
	low, high := extent(s.set)
	out := Set{Spread: physics.Force(high - low)}
	out.Objective = out.Spread
	if filled := len(s.set) - s.empty; len(b.Wish.Targets) > 0 && filled > 0 {
		out.Objective = physics.Force(math.Sqrt(s.cost / float64(filled)))
	}
	var pulls []physics.Result[physics.Force]
	for p, f := range s.set {
		target, _ := b.target(p)
		pick := Pick{Position: p, String: f.str, Wanted: physics.Force(target)}
		if f.str != empty {
			var err error
			if pick.Pull, err = PullOf(b.Positions[p], b.Strings[f.str]); err != nil {
				return Set{}, err
			}
			if b.Wish.Of == Push {
				pick.Push = pushed(b.Positions[p], &b.Strings[f.str], pick.Pull, b.Wish.Depth)
			}
			pick.Load = loadOf(b.Positions[p], &b.Strings[f.str], pick.Pull)
			pick.Doubts = b.doubts(&pick)
			pulls = append(pulls, pick.Pull)
		}
		out.Picks = append(out.Picks, pick)
	}
	for p := range out.Picks {
		if out.Picks[p].String == Empty {
			out.Picks[p].Need = b.need(p, s.set)
		}
	}
	if len(pulls) == 0 {
		return out, nil
	}
	var err error
	out.Total, err = physics.Total(pulls, physics.OneBench)
	return out, err
}

func changes(from, to []fit) (out []Change) {
	for p := range from {
		if from[p].str != to[p].str {
			out = append(out, Change{p, from[p].str, to[p].str, physics.Force(to[p].pull - from[p].pull)})
		}
	}
	return out
}
