package main

import (
	"fmt"
	"time"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/identify"
	"pluckweigh/stock/traits"
)

// An isOne is which string in stock something may be that was measured.
type isOne struct {
	evidence physics.Evidence
	rough    physics.Measured[physics.BendingStiffness] // in place of the evidence's
	kind     traits.Kind
	*stocked
	identify.Answer
}

// identify makes of a unit weight, if it is known, and of what it was heard of, if
// anything, which string it may be.
func (i *identifying) identify(weight *figure, r *heard) (*figure, error) {
	e := physics.Evidence{Outside: i.gauge.Measured}
	if weight.value > 0 {
		e.UnitWeight = physics.Measured[physics.UnitWeight]{Value: physics.UnitWeight(weight.value), U: physics.UnitWeight(weight.u),
			DoF: weight.dof, Assumed: i.weight.Assumed, Unit: i.weight.Unit}
	}
	var rough physics.Measured[physics.BendingStiffness]
	if r != nil && r.BKnown {
		s, err := stretchOf(*r, i.scale.Measured, i.held.Ends)
		if err != nil {
			return nil, err
		}
		if e, err = e.Heard(s); err == nil && e.Stiffness.Value == 0 {
			rough, err = s.RoughStiffness(e.UnitWeight)
		}
		if err != nil {
			return impossible(nil, err)
		}
	}
	a, err := identify.Question{Evidence: e, Rough: rough, Kind: i.is, Strings: i.strings, Copies: i.copies.U, None: float64(i.none.value)}.Answer()
	if err != nil && r != nil {
		return impossible(nil, err)
	}
	if err != nil {
		return nil, err
	}
	f := *weight
	f.also, f.is = nil, &isOne{e, rough, i.is, &i.stocked, a}
	f.label, f.expanded = "most likely", f.is.brief()
	return &f, nil
}

// stow keeps what was measured with the string that it is, or says why not.
func (i *identifying) stow(a *answer) error {
	is, name := a.figure.is, i.keep.name
	at, settled := is.Settled()
	known := i.index(name)
	refuse := func(why, do string) error {
		i.unkept = true
		report(i.e.err, &untrusted{"nothing was kept: " + why, do})
		return nil
	}
	switch {
	case !settled && len(is.Next) > 0:
		return refuse("it cannot be told yet which string it is", proposalOf(is.Next[0]))
	case !settled:
		return refuse("it cannot be told which string it is", "")
	case at < 0 && known >= 0:
		return refuse(fmt.Sprintf("%q is in stock, and it is none of those", name), "keep it under a name of its own")
	case at >= 0 && known >= 0 && at != known:
		return refuse(fmt.Sprintf("it is %q, not %q", i.strings[at].Name, name), fmt.Sprintf("say --keep %q", i.strings[at].Name))
	case at >= 0:
		name = i.strings[at].Name
	}
	keep := i.keep
	keep.name, keep.also = name, stock.String{String: traits.String{Kind: i.is}}
	if i.gauge.given {
		keep.also.Measurements = append(keep.also.Measurements, stock.Measure(i.gauge.Measured, stock.Stated, time.Time{}, ""))
	}
	w := i.weighing
	w.keep = keep
	return w.kept(a)
}
