package physics

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Evidence is what was measured of a string whose build is asked for.
type Evidence struct {
	UnitWeight Measured[UnitWeight]
	Outside    Measured[Length] // diameter over all
	// Stiffness is E·I of the core, as its inharmonicity gives it; all zero where
	// it is not known.
	Stiffness Measured[BendingStiffness]
	// Correlation is that of the errors of UnitWeight and Stiffness, from −1 to 1:
	// a stiffness that was worked out from this unit weight shares its error.
	Correlation float64
	// Core is its size, measured where it is bare; all zero where it is not known.
	Core Measured[Length]
	// Pitch is that of the outer wrap, its turns touching; all zero where it is not
	// known.
	Pitch Measured[Length]
	// Known is what is known of the build.
	Known Known
}

// Known limits the builds that are looked at. Where a list is empty, all that is
// usual is looked at.
type Known struct {
	Wraps  []int // how many, at most MostWraps each
	Shapes []Shape
	CoreOf []Material
	WrapOf []Material // every wrap is of one of these
}

// MostWraps is how many wraps are looked for: more say nothing that these do not.
const MostWraps = 2

// Check returns an *InputError for evidence that cannot be of one string, before any
// build is looked for.
func (e Evidence) Check() error {
	if err := checkEvidence(string(StringWeight), e.UnitWeight); err != nil {
		return err
	}
	if err := checkEvidence(string(Gauge), e.Outside); err != nil {
		return err
	}
	if e.stiff() {
		if err := checkEvidence("bending stiffness", e.Stiffness); err != nil {
			return err
		}
	}
	if !(math.Abs(e.Correlation) <= 1) {
		return &InputError{What: "correlation", Why: "must lie between -1 and 1, not at " + number(e.Correlation)}
	}
	if e.cored() {
		if err := checkEvidence(string(CoreSize), e.Core); err != nil {
			return err
		}
		if e.Core.Value-3*e.Core.U > e.Outside.Value+3*e.Outside.U {
			return &InputError{What: string(CoreSize), Why: fmt.Sprintf("of %s is thicker than the whole string, %s",
				Format(e.Core.Value, e.Core.Unit, 4), Format(e.Outside.Value, e.Core.Unit, 4)),
				Fix: "the gauge is the diameter over all, the core what is bare at the ends"}
		}
	}
	if e.pitched() {
		if err := checkEvidence(string(WrapPitch), e.Pitch); err != nil {
			return err
		}
		if e.Pitch.Value > e.Outside.Value {
			return &InputError{What: string(WrapPitch), Why: fmt.Sprintf("of %s is more than the whole string, %s",
				Format(e.Pitch.Value, e.Pitch.Unit, 4), Format(e.Outside.Value, e.Pitch.Unit, 4)),
				Fix: "it is the distance from turn to turn: a length along the string over the turns on it"}
		}
	}
	for _, n := range e.Known.Wraps {
		if n < 0 || n > MostWraps {
			return &InputError{What: "number of wraps", Why: fmt.Sprintf("must be from 0 to %d, not %d", MostWraps, n),
				Fix: "0 is a plain string; what more wraps are made of, unit weight and gauge do not tell"}
		}
	}
	for _, m := range slices.Concat(e.Known.CoreOf, e.Known.WrapOf) {
		if err := m.Density.check("density of " + m.Name); err != nil {
			return err
		}
		if err := m.Modulus.check("modulus of " + m.Name); err != nil {
			return err
		}
	}
	return nil
}

// checkEvidence refuses what no quantity can be, and what is known too roughly for
// errors that are combined to first order.
func checkEvidence[Q Quantity](what string, m Measured[Q]) error {
	if err := m.check(what); err != nil {
		return err
	}
	if m.Relative() > roughest {
		return &InputError{What: what, Why: "is known to worse than a quarter", Fix: "measure it closer"}
	}
	return nil
}

func (e Evidence) stiff() bool { return e.Stiffness != Measured[BendingStiffness]{} }
func (e Evidence) cored() bool { return e.Core != Measured[Length]{} }

func (e Evidence) pitched() bool { return e.Pitch != Measured[Length]{} }

// Density is that of the whole string as if it were solid, 4µ/(πD²): of a plain
// string, that of its material. Terms of the budget: "unit weight", "gauge". The
// error is an *InputError.
func (e Evidence) Density() (Result[Density], error) {
	if err := e.Check(); err != nil {
		return Result[Density]{}, err
	}
	d := float64(e.Outside.Value)
	rho := 4 * float64(e.UnitWeight.Value) / (math.Pi * d * d)
	return conclude("density", Density(rho), 0,
		power(string(StringWeight), e.UnitWeight, rho, 1), power(string(Gauge), e.Outside, rho, -2))
}

// With is the evidence with a stiffness that shares no error with the rest. One
// known to worse than a quarter says next to nothing, and is left out.
func (e Evidence) With(stiffness Result[BendingStiffness]) Evidence {
	e.Stiffness, e.Correlation = stiffness.Measured, 0
	if stiffness.Relative() > roughest {
		e.Stiffness = Measured[BendingStiffness]{}
	}
	return e
}

// Heard is the evidence with the stiffness that follows of its unit weight by
// what is heard, and has a part of its error of the unit weight; otherwise as With. A
// string that sounds as if it had no stiffness says that it is supple, and no more.
// The error is an *InputError.
func (e Evidence) Heard(s Stretch) (Evidence, error) {
	if s.B.Value == 0 {
		e.Stiffness, e.Correlation = Measured[BendingStiffness]{}, 0
		return e, nil
	}
	ei, err := s.Stiffness(e.UnitWeight)
	if err != nil {
		return Evidence{}, err
	}
	if e = e.With(ei); !e.stiff() {
		return e, nil
	}
	for _, t := range ei.Budget {
		if t.Input == string(StringWeight) {
			e.Correlation = math.Sqrt(t.Share)
		}
	}
	return e, nil
}

// Of a build whose parts are in given proportion to the outside diameter D, the
// unit weight goes with D², the stiffness with D⁴, the core and the pitch with D. So
// each quantity's logarithm, less its power of D's as measured, less what the
// proportions make of it, is a residual: errors of measurement, to first order. The
// residuals are the unit weight's, then the stiffness's, the core's and the pitch's
// where they are known.

// most is how many residuals there can be.
const most = 4

type residuals [most]float64

// sharpest is a relative standard uncertainty that no shape of a string is worth.
const sharpest = 1e-5

// A yardstick is how the residuals of one family of builds scatter.
type yardstick struct {
	n       int
	powers  residuals       // of the outside diameter
	inverse [most]residuals // of their covariance, without the densities'
	root    float64         // of its determinant
	u       float64         // of the outside diameter, relative
}

// yardstick is that of builds whose stiffness has the relative uncertainty given,
// for exact sizes.
func (e Evidence) yardstick(stiffness float64) yardstick {
	y := yardstick{u: e.Outside.Relative()}
	var vars residuals
	add := func(power, u float64) {
		y.powers[y.n], vars[y.n] = power, u*u
		y.n++
	}
	add(2, e.UnitWeight.Relative())
	if e.stiff() {
		add(4, math.Hypot(e.Stiffness.Relative(), stiffness))
	}
	if e.cored() {
		add(1, e.Core.Relative())
	}
	if e.pitched() {
		add(1, e.Pitch.Relative())
	}
	cov := mat.NewSymDense(y.n, nil)
	for i := range y.n {
		for j := range i + 1 {
			v := y.powers[i] * y.powers[j] * y.u * y.u
			switch {
			case i == j:
				v += vars[i] + sharpest*sharpest
			case i == 1 && j == 0 && e.stiff():
				v += e.Correlation * e.UnitWeight.Relative() * e.Stiffness.Relative()
			}
			cov.SetSym(i, j, v)
		}
	}
	var c mat.Cholesky
	if !c.Factorize(cov) {
		panic("physics: the evidence has no covariance") // its diagonal is positive
	}
	var inv mat.SymDense
	if err := c.InverseTo(&inv); err != nil {
		panic(err) // as above
	}
	for i := range y.n {
		for j := range y.n {
			y.inverse[i][j] = inv.At(i, j)
		}
	}
	y.root = math.Sqrt(c.Det())
	return y
}

// product is aᵀC⁻¹b, where the variance of the unit weight's residual is greater by
// v than in the yardstick (Sherman and Morrison's formula).
func (y *yardstick) product(a, b residuals, v float64) float64 {
	var ab, a0, b0 float64
	for i := range y.n {
		for j := range y.n {
			ab += a[i] * y.inverse[i][j] * b[j]
		}
		a0 += a[i] * y.inverse[i][0]
		b0 += b[i] * y.inverse[i][0]
	}
	return ab - v*a0*b0/(1+v*y.inverse[0][0])
}

// height is the likelihood of residuals of no misfit, up to a factor that all
// families share.
func (y *yardstick) height(v float64) float64 {
	return 1 / (y.root * math.Sqrt(1+v*y.inverse[0][0]))
}
