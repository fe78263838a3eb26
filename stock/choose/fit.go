package choose

import (
	"math"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A bench is a question made ready to be computed with.
type bench struct {
	Question
	strings []brief
	most    []float64 // what each string's core may carry, N; below zero for not looked up yet
}

// A brief is what of a string is looked at for each position, kept close together.
type brief struct {
	weight  physics.UnitWeight
	outside physics.Length
	ei      physics.Measured[physics.BendingStiffness]
	kind    traits.Kind
	left    int
}

func newBench(q Question) *bench {
	b := &bench{Question: q, strings: make([]brief, len(q.Strings))}
	for i := range q.Strings {
		s := &q.Strings[i]
		left := s.Left
		if left == traits.Uncounted {
			left = len(q.Positions) // more are of no use
		}
		b.strings[i] = brief{s.UnitWeight.Value, s.Outside.Value, s.Stiff(), s.Kind, left}
	}
	if q.Limits.MostLoad > 0 {
		b.most = make([]float64, len(q.Strings))
		for i := range b.most {
			b.most[i] = -1
		}
	}
	return b
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

// try is the string at the position, and whether all limits but that of its core
// allow it.
func (b *bench) try(position, str int) (fit, bool) {
	p, s := &b.Positions[position], &b.strings[str]
	if s.left == 0 || !s.kind.Suits(p.Kind) || s.outside != 0 && !p.Slot.fits(s.outside) {
		return fit{}, false
	}
	f := fit{str: str, pull: s.pull(p)}
	f.of = f.pull
	if b.Wish.Of == Push {
		f.of = float64(pushOf(physics.Force(f.pull), &b.Strings[str], p.Length.Value, b.Wish.Depth))
	}
	target, wanted := b.target(position)
	off := f.of - target
	f.cost = off * off
	if !wanted {
		f.cost = 0
	} else if b.Wish.Within > 0 && math.Abs(off) > float64(b.Wish.Within) {
		return fit{}, false
	}
	return f, true
}

// target is what is wanted at a position, if anything.
func (b *bench) target(position int) (float64, bool) {
	if len(b.Wish.Targets) > 0 {
		return float64(b.Wish.Targets[position]), true
	}
	return float64(b.Wish.Near), b.Wish.Near > 0
}

// pull is what Stretch.Tension makes of the string there, without the uncertainty.
func (s *brief) pull(p *Position) float64 {
	flexible := physics.TensionOf(s.weight, p.Length.Value, p.F0)
	return float64(flexible) * p.Ends.Share(inharmonicity(s.ei, flexible, p.Length.Value))
}

// inharmonicity is that of a string of a bending stiffness, or what is assumed where
// that is not known.
func inharmonicity(ei physics.Measured[physics.BendingStiffness], pull physics.Force, l physics.Length) physics.Measured[physics.Inharmonicity] {
	if ei.Value == 0 {
		return physics.UnheardInharmonicity()
	}
	v := physics.InharmonicityOf(ei.Value, pull, l)
	return physics.Measured[physics.Inharmonicity]{Value: v, U: v * physics.Inharmonicity(ei.Relative()), Assumed: ei.Assumed}
}

// pushOf is the side force of a push; of a string whose core is not known that of
// one which does not stretch.
func pushOf(pull physics.Force, s *traits.String, l, depth physics.Length) physics.Force {
	f := sideways(pull, l, depth)
	if s.Cored() {
		if ea, err := s.Core.Axial(); err == nil {
			x := float64(depth / l)
			f += 8 * ea.Value * physics.Force(x*x*x)
		}
	}
	return f
}

// pushed is the side force with its uncertainty: that of a string whose core is not
// known without what it stretches by.
func pushed(p Position, s *traits.String, pull physics.Result[physics.Force], depth physics.Length) physics.Measured[physics.Force] {
	out := physics.Measured[physics.Force]{Value: pushOf(pull.Value, s, p.Length.Value, depth)}
	strung := physics.Strung{Length: p.Length, Pull: pull, Core: s.Core}
	if s.Cored() {
		if d, err := strung.Pushed(physics.Stated(depth, 0)); err == nil {
			out.U = d.Side.U
			return out
		}
	}
	if k, err := strung.SideStiffness(); err == nil {
		out.U = physics.Force(float64(k.U) * float64(depth))
	}
	return out
}

// carries tells whether the string's core may carry the pull: that of one whose
// strength is not known may.
func (b *bench) carries(f fit) bool {
	if b.most == nil {
		return true
	}
	if b.most[f.str] < 0 {
		b.most[f.str] = math.Inf(1)
		if force, ok := strength(&b.Strings[f.str]); ok {
			b.most[f.str] = float64(force) * float64(b.Limits.MostLoad)
		}
	}
	return f.pull <= b.most[f.str]
}

// strength is the least pull at which the string's core breaks, by the standard that
// has the lowest strength for its wire.
func strength(s *traits.String) (physics.Force, bool) {
	if !s.Cored() {
		return 0, false
	}
	known, err := s.Core.Strengths()
	if err != nil {
		return 0, false
	}
	ea, err := s.Core.Axial()
	if err != nil {
		return 0, false
	}
	area := float64(ea.Value) / float64(s.Core.Of.Modulus.Value)
	return physics.Force(area * float64(known[0].Least)), true
}
