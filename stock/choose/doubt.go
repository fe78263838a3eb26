package choose

import (
	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// A Doubt is why a pick may not be what it seems.
type Doubt struct{ Code, Say string }

// The codes of doubts.
const (
	Breaks           = "breaks"            // its core would carry more than its least strength
	MayBreak         = "may-break"         // by the uncertainty it would
	UnknownStrength  = "strength-unknown"  // a limit of the load could not be held against it
	NearStrength     = "strength-near"     // its load may be above the limit, by the uncertainty
	UnknownDiameter  = "diameter-unknown"  // a slot could not be held against it
	NearSlot         = "diameter-near"     // its diameter may not fit, by the uncertainty
	UnknownKind      = "kind-unknown"      // it may be plain where a wound one is wanted, or wound
	UnknownStiffness = "stiffness-unknown" // a push was counted without what the core stretches
)

// loadOf is how near a string's core is to the lowest strength that the standards have
// for it, nil where that is not known.
func loadOf(p Position, s *traits.String, pull physics.Result[physics.Force]) *physics.Limit {
	if !s.Cored() {
		return nil
	}
	limits, err := physics.Strung{Length: p.Length, Pull: pull, Core: s.Core}.Limits()
	if err != nil {
		return nil // no standard has a strength for the core
	}
	return &limits[0]
}

// strain is what is doubtful of a load, if anything.
func strain(load *physics.Limit) []Doubt {
	switch {
	case load == nil:
		return nil
	case load.Broken():
		return []Doubt{{Breaks, "it would break: its core would carry more than the least strength that " + load.Standard + " asks for"}}
	case load.Doubtful():
		return []Doubt{{MayBreak, "it may break: the uncertainty reaches the least strength that " + load.Standard + " asks for"}}
	}
	return nil
}

// doubts are those of a pick.
func (b *bench) doubts(pick *Pick) []Doubt {
	p, s := &b.Positions[pick.Position], &b.Strings[pick.String]
	out := strain(pick.Load)
	if b.Limits.MostLoad > 0 && len(out) == 0 {
		if pick.Load == nil {
			out = append(out, Doubt{UnknownStrength, "how much its core can carry is not known"})
		} else if load := pick.Load.Load; load.Value+physics.Coverage*load.U > b.Limits.MostLoad {
			out = append(out, Doubt{NearStrength, "within its uncertainty its core carries more than is allowed of its strength"})
		}
	}
	if p.Slot != (Slot{}) {
		u := physics.Coverage * s.Outside.U
		if s.Outside.Value == 0 {
			out = append(out, Doubt{UnknownDiameter, "its diameter is not known, so it may not fit the slot"})
		} else if !p.Slot.fits(s.Outside.Value+u) || !p.Slot.fits(s.Outside.Value-u) {
			out = append(out, Doubt{NearSlot, "within its uncertainty its diameter may not fit the slot"})
		}
	}
	if p.Kind != traits.EitherKind && s.Kind == traits.EitherKind {
		out = append(out, Doubt{UnknownKind, "whether it is plain or wound is not known"})
	}
	if b.Wish.Of == Push && !s.Cored() {
		out = append(out, Doubt{UnknownStiffness, "its core is not known, so what it stretches by is not counted"})
	}
	return out
}
