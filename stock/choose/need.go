package choose

import (
	"math"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Need is the string that a position would take.
type Need struct {
	UnitWeight physics.UnitWeight
	// Build has that unit weight, keeps the position's limits and is one that can be
	// made; zero where none was found. There are others.
	Build physics.Build
}

// easy is the part of its strength that a core is drawn up for where no limit was
// given: common practice, no source.
const easy = 0.6

// need is what would pull as wished for at a position that is empty; nil where nothing
// tells how hard that is.
func (b *bench) need(position int, set []fit) *Need {
	target, ok := b.target(position)
	if !ok {
		filled := len(set) - emptyIn(set)
		if filled == 0 {
			return nil
		}
		target = sum(set, func(f fit) float64 { return f.of }) / float64(filled)
	}
	p := b.Positions[position]
	pull := physics.Force(target)
	if b.Wish.Of == Push {
		// Of a string that hardly stretches: what the core adds depends on the build.
		pull = supple(pull, p.Length.Value, b.Wish.Depth)
	}
	flexible := physics.UnitWeightOf(pull, p.Length.Value, p.F0)
	n := &Need{UnitWeight: flexible}
	load := easy
	if b.Limits.MostLoad > 0 {
		load = float64(b.Limits.MostLoad)
	}
	// What the ends take goes with the stiffness, and that with the build: a few rounds
	// settle it to far less than any wire is known by.
	for range 4 {
		n.Build = buildFor(n.UnitWeight, pull, load, p)
		ei := physics.Measured[physics.BendingStiffness]{}
		if len(n.Build.Wraps) > 0 || n.Build.Core.Size.Value > 0 {
			r, err := n.Build.Core.Stiffness()
			if err != nil {
				return n
			}
			ei = r.Measured
		}
		share := p.Ends.Share(physics.Midway(inharmonicity(ei, pull, p.Length.Value)))
		n.UnitWeight = flexible / physics.UnitWeight(share)
	}
	return n
}

// buildFor is a build of a unit weight, for a pull that loads its core by a part of
// its strength: plain if that carries it, else the finest core that does with one close
// wrap. It is zero where there is none.
func buildFor(w physics.UnitWeight, pull physics.Force, load float64, p Position) physics.Build {
	steel, err := physics.ParseMaterial("steel")
	if err != nil {
		return physics.Build{}
	}
	fits := func(b physics.Build) bool {
		d, err := b.Outside()
		return err == nil && p.Slot.fits(d.Value) && carried(b.Core, pull, load)
	}
	plain := physics.Length(math.Sqrt(4 * float64(w) / (math.Pi * float64(steel.Density.Value))))
	b := physics.Build{Core: physics.Core{Size: physics.CoreSize.Assume(plain), Of: steel}}
	if p.Kind != traits.Wound && (p.Kind == traits.Plain || plain <= thickestPlain) {
		if physics.CoreSize.Check(plain) == nil && fits(b) {
			return b
		}
	}
	if p.Kind == traits.Plain {
		return physics.Build{}
	}
	wire, err := physics.ParseMaterial("nickel-plated steel")
	if err != nil {
		return physics.Build{}
	}
	for d := finestCore; d < plain; d += coreStep {
		core := physics.Core{Size: physics.CoreSize.Assume(d), Of: steel}
		if !carried(core, pull, load) {
			continue
		}
		if b, ok := wrapped(core, wire, w); ok && fits(b) {
			return b
		}
	}
	return physics.Build{}
}

// Plain steel strings are usually no thicker than thickestPlain, as they grow too
// stiff; cores of wound ones are looked for from finestCore on (common practice, no
// source).
const (
	thickestPlain = 0.6 * physics.Millimetre
	finestCore    = 0.3 * physics.Millimetre
	coreStep      = 0.02 * physics.Millimetre
)

// carried tells whether a core carries a pull by a part of its lowest strength.
func carried(c physics.Core, pull physics.Force, load float64) bool {
	most, ok := c.Breaks()
	return ok && float64(pull) <= load*float64(most)
}

// wrapped is the core with one close wrap that makes it weigh so much:
// physics.Build.UnitWeight, ρπ²((D+2d)²−D²)/16 over the core's, solved for the wire d.
func wrapped(c physics.Core, wire physics.Material, w physics.UnitWeight) (physics.Build, bool) {
	d := float64(c.Size.Value)
	wound := float64(w) - float64(c.Of.Density.Value)*math.Pi/4*d*d
	thick := physics.Length((math.Sqrt(d*d+16*wound/(math.Pi*math.Pi*float64(wire.Density.Value))) - d) / 2)
	if physics.WrapWire.Check(thick) != nil {
		return physics.Build{}, false
	}
	b := physics.Build{Core: c, Wraps: []physics.Wrap{{Wire: physics.WrapWire.Assume(thick), Of: wire}}}
	_, err := b.UnitWeight()
	return b, err == nil // too thick a wire cannot be wound on the core
}
