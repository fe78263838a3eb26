package calib

import (
	"fmt"
	"time"

	"pluckweigh/physics"
)

// A Rig is what a string is loaded on to be weighed.
type Rig struct {
	Name string
	// Friction is the force by which the string pulls less than the load, of either
	// sign, and its standard uncertainty.
	Friction, UFriction physics.Force
	// Weights is the relative standard uncertainty that all weights share.
	Weights float64
	Made    time.Time
	Expires time.Time
}

// Entry is the rig as it is kept, found as how says.
func (r Rig) Entry(how string, made time.Time) Entry {
	return entry(Entry{Kind: RigKind, Name: r.Name, Value: float64(r.Friction), U: float64(r.UFriction), Weights: r.Weights, How: how}, made)
}

// Rig is the rig that a RigKind entry keeps.
func (e Entry) Rig() Rig {
	return Rig{e.Name, physics.Force(e.Value), physics.Force(e.U), e.Weights, e.Made, e.Expires}
}

// Loss is by how much less a string pulls than what hangs on the rig.
func (r Rig) Loss() physics.Measured[physics.Force] {
	loss := physics.Stated(r.Friction, r.UFriction)
	if r.Name != "" {
		loss.From = calibrated(r.Name, r.Made)
	}
	return loss
}

// Scale is what all its weights may be off together.
func (r Rig) Scale() physics.Relative {
	return physics.Relative{U: r.Weights, Said: calibrated(r.Name, r.Made)}
}

// FrictionString is the friction with its expanded uncertainty (k = 2), for a
// person.
func (r Rig) FrictionString() string {
	return r.Loss().Expanded(physics.Coverage)
}

// WeightsString is the expanded uncertainty (k = 2) of the weights, for a person.
func (r Rig) WeightsString() string {
	return fmt.Sprintf("± %.2g %%", 100*physics.Coverage*r.Weights)
}
