package choose

import (
	"math"

	"pluckweigh/physics"
	"pluckweigh/stock/internal/parallel"
	"pluckweigh/stock/traits"
)

// A bench is a question made ready to be computed with.
type bench struct {
	Question
	strings []brief
	places  []place
	shelves []*shelf // by position; those that are alike share one
}

// A brief is what of a string is looked at for each position, kept close together.
type brief struct {
	weight  float64 // kg/m
	stiff   float64 // N·m², by which B counts where its √ does; 0 for not known
	axial   float64 // N, of the core; 0 for not known, or not asked for
	outside physics.Length
	most    float64 // N, that its core may carry; infinite for no limit
	kind    traits.Kind
	left    int
}

// A place is what of a position is.
type place struct {
	tune    float64 // (2Lf)², by which a unit weight gives the pull of a flexible string
	bend    float64 // (π/L)², by which a stiffness gives B times the pull
	unheard float64 // what the ends leave of the pull where the stiffness is not known
	side    float64 // 4d/L, by which the pull gives the side force
	draw    float64 // 8(d/L)³, by which the axial stiffness does
	target  float64 // N
	wanted  bool    // there is a target, or a level to be near
}

func newBench(q Question) *bench {
	b := &bench{Question: q, strings: make([]brief, len(q.Strings))}
	parallel.Do(len(q.Strings), func(from, to int) {
		for i := from; i < to; i++ {
			b.strings[i] = newBrief(&q, &q.Strings[i])
		}
	})
	for i := range q.Positions {
		b.places = append(b.places, newPlace(&q, i))
	}
	b.shelve()
	return b
}

func newBrief(q *Question, s *traits.String) brief {
	out := brief{weight: float64(s.UnitWeight.Value), outside: s.Outside.Value, most: math.Inf(1), kind: s.Kind, left: s.Left}
	if s.Left == traits.Uncounted {
		out.left = len(q.Positions) // more are of no use
	}
	if ei := s.Stiff(); ei.Value > 0 {
		// As physics.Midway has it for B, which goes with E·I and is as uncertain.
		out.stiff = float64(ei.Value) * max(1, (1+ei.Relative())/2)
	}
	if s.Cored() && q.Wish.Of == Push {
		out.axial = float64(s.Core.EA())
	}
	if s.Cored() && q.Limits.MostLoad > 0 {
		if pull, ok := s.Core.Breaks(); ok {
			out.most = float64(pull) * float64(q.Limits.MostLoad)
		}
	}
	return out
}

func newPlace(q *Question, position int) place {
	p := &q.Positions[position]
	l := float64(p.Length.Value)
	out := place{
		tune: float64(physics.TensionOf(1, p.Length.Value, p.F0)), bend: math.Pi * math.Pi / (l * l),
		unheard: p.Ends.Share(physics.Midway(physics.UnheardInharmonicity())), side: 1,
		target: float64(q.Wish.Near), wanted: q.Wish.Near > 0,
	}
	if len(q.Wish.Targets) > 0 {
		out.target, out.wanted = float64(q.Wish.Targets[position]), true
	}
	if q.Wish.Of == Push {
		x := float64(q.Wish.Depth) / l
		out.side, out.draw = 4*x, 8*x*x*x
	}
	return out
}

// A fit is a string at a position.
type fit struct {
	str  int     // index of the string; empty for none
	pull float64 // N
	of   float64 // what the wish is about, N
	cost float64 // N²
}

// empty is the string of a position that has none.
const empty = -1

// allows tells whether the limits of a position allow a string there, whatever it
// pulls.
func (b *bench) allows(p *Position, s *brief) bool {
	return s.left != 0 && s.kind.Suits(p.Kind) && (s.outside == 0 || p.Slot.fits(s.outside))
}

// pull is what PullOf makes of the string there, without the uncertainty.
func (b *bench) pull(position, str int) float64 {
	p, s := &b.places[position], &b.strings[str]
	flexible := p.tune * s.weight
	if s.stiff == 0 {
		return flexible * p.unheard
	}
	return flexible * b.Positions[position].Ends.Share(physics.Inharmonicity(p.bend*s.stiff/flexible))
}

// of is what the wish is about, of a string that pulls so hard there.
func (b *bench) of(position, str int, pull float64) float64 {
	p := &b.places[position]
	return p.side*pull + p.draw*b.strings[str].axial
}

// fit is a string at a position.
func (b *bench) fit(position, str int) fit {
	f := fit{str: str, pull: b.pull(position, str)}
	f.of = b.of(position, str, f.pull)
	if p := &b.places[position]; p.wanted {
		off := f.of - p.target
		f.cost = off * off
	}
	return f
}

// target is what is wanted at a position, if anything.
func (b *bench) target(position int) (float64, bool) {
	return b.places[position].target, b.places[position].wanted
}

func (b *bench) left(str int) int { return b.strings[str].left }
