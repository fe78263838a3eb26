package calib_test

import (
	"math"

	"pluckweigh/calib"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// pulls are the routes to a pull.
func pulls() []route {
	return []route{
		{name: "tension, ends told", measure: func(b bench) outcome {
			p := b.piece()
			held, r := b.ends(&p), b.anyRecorder()
			t, err := b.stretch(b.heard(p, r), r, b.rule(p), held).Tension(b.weight(p, b.scattered(5e-4, 5e-3)))
			return outcomeOf(b, p.pull, t, err)
		}},
		{name: "tension, ends unknown", even: true, measure: func(b bench) outcome {
			p := b.piece()
			r := b.anyRecorder()
			t, err := b.stretch(b.heard(p, r), r, b.rule(p), physics.EndsUnknown).Tension(b.weight(p, b.scattered(5e-4, 5e-3)))
			return outcomeOf(b, p.pull, t, err)
		}},
		{name: "tension, tolerances not given", measure: func(b bench) outcome {
			p := b.piece()
			r := b.anyRecorder()
			w := assumed(b, physics.StringWeight, physics.UnitWeight(p.mu), physics.UnitWeight(0.01*p.mu), normal, physics.GramPerMetre, physics.PoundPerFoot)
			t, err := b.stretch(b.heard(p, r), r, b.glance(p), physics.EndsUnknown).Tension(w)
			return outcomeOf(b, p.pull, t, err)
		}},
		// A clock that was calibrated, where it is nearly all that is not known.
		{name: "tension, clock applied", measure: func(b bench) outcome {
			p := b.piece()
			held, r := b.ends(&p), b.calibrated(b.scattered(5, 50))
			h := b.heard(p, r)
			const known = 1e-6
			h.F0 = detect.Value{V: b.around(1, known) * p.f0() / (1 + r.fast), U: known * p.f0()}
			h.B, h.Corr = detect.Value{V: p.stiffness(), U: 1e-4 * p.stiffness()}, 0
			l := stated(b, physics.SpeakingLength, physics.Length(p.length), physics.Length(known*p.length), physics.Metre)
			t, err := b.stretch(h, r, l, held).Tension(b.weight(p, known))
			return outcomeOf(b, p.pull, t, err)
		}},
		// A few plucks that scatter are much of what is not known.
		{name: "tension, plucks scatter", few: true, measure: func(b bench) outcome {
			p := b.piece()
			held, r := b.ends(&p), b.anyRecorder()
			h, n := b.heard(p, r), 3+b.IntN(4)
			scatter := b.scattered(5e-4, 3e-3)
			var sum, squares float64
			for range n {
				f := b.around(1, scatter) * p.f0() / (1 + r.fast)
				sum, squares = sum+f, squares+f*f
			}
			free := float64(n - 1)
			mean := sum / float64(n)
			h.F0 = detect.Value{V: mean, U: math.Sqrt((squares - sum*mean) / free / float64(n))}
			h.DoF, h.Corr = free, 0
			t, err := b.stretch(h, r, b.rule(p), held).Tension(b.weight(p, 1e-3))
			return outcomeOf(b, p.pull, t, err)
		}},
		{name: "retuned, ends told", measure: func(b bench) outcome { p := b.piece(); return b.retuned(p, b.ends(&p)) }},
		{name: "retuned, ends unknown", even: true, measure: func(b bench) outcome { return b.retuned(b.piece(), physics.EndsUnknown) }},
	}
}

// retuned is the pull at another note up to a fifth away, foreseen from what is heard
// now.
func (b bench) retuned(p piece, held physics.Ends) outcome {
	to := p.f0() * math.Exp2(b.between(-7, 7)/12)
	low, high := p.pull/4, p.pull*4
	for range 60 {
		if mid := (low + high) / 2; p.pulled(mid).f0() < to {
			low = mid
		} else {
			high = mid
		}
	}
	r := b.anyRecorder()
	w := b.weight(p, b.scattered(5e-4, 5e-3))
	heard := b.stretch(b.heard(p, r), r, b.rule(p), held)
	now, err := heard.Tension(w)
	if err != nil {
		b.t.Fatal(err)
	}
	there, err := heard.Retuned(physics.Frequency(to))
	if err != nil {
		b.t.Fatal(err)
	}
	pull, err := there.Tension(w)
	if err != nil {
		b.t.Fatal(err)
	}
	core := stated(b, physics.CoreSize, physics.Length(p.core), 3e-6, physics.Millimetre)
	of, err := physics.ParseMaterial("steel")
	if err != nil {
		b.t.Fatal(err)
	}
	s := physics.Strung{Length: heard.Length, Pull: now, Core: physics.Core{Size: core, Of: of}}
	pull, err = s.Thinned(pull)
	return outcomeOf(b, low, pull, err)
}

// weighings are the routes to a unit weight by one load, by a clip, and on a balance.
func weighings() []route {
	return []route{
		{name: "weigh by a force, ends told", measure: func(b bench) outcome {
			p := b.piece()
			held, r := b.ends(&p), b.anyRecorder()
			u := b.scattered(5e-4, 5e-3) * p.pull
			pull := stated(b, physics.Pull, physics.Force(p.pull), physics.Force(u), physics.Newton, physics.PoundForce, physics.KilogramForce)
			mu, err := b.stretch(b.heard(p, r), r, b.rule(p), held).UnitWeight(pull)
			return outcomeOf(b, p.mu, mu, err)
		}},
		{name: "weigh by a mass on a rig", measure: func(b bench) outcome {
			p := b.piece()
			held, r := b.ends(&p), b.calibrated(b.scattered(2, 20))
			rig := calib.Rig{UFriction: physics.Force(b.between(0.05, 0.3)), Weights: b.scattered(2e-4, 2e-3)}
			lost := b.between(-1, 1)
			rig.Friction = physics.Force(b.around(lost, float64(rig.UFriction)))
			// The gravity of the place is read off a table or was measured.
			g := b.between(9.78, 9.832)
			table := assumed(b, physics.LocalGravity, physics.Acceleration(g), physics.Acceleration(0.005/math.Sqrt(3)), evenly, physics.MetrePerSecondSquared)
			if b.coin() {
				table = stated(b, physics.LocalGravity, physics.Acceleration(g), 1e-3, physics.MetrePerSecondSquared)
			}
			m := (p.pull + lost) / g
			load := b.mass(physics.Pull, m*b.around(1, rig.Weights), b.scattered(2e-4, 2e-3))
			mu, err := b.stretch(b.heard(p, r), r, b.rule(p), held).UnitWeightUnder(physics.Loading{Load: load, Gravity: table, Loss: rig.Loss(), Scale: rig.Scale()})
			return outcomeOf(b, p.mu, mu, err)
		}},
		// Standard gravity is taken, and the rest of what nobody said.
		{name: "weigh by a mass, tolerances not given", measure: func(b bench) outcome {
			p := b.piece()
			r := b.anyRecorder()
			load := b.mass(physics.Pull, p.pull/b.between(9.78065, 9.83265), 0)
			mu, err := b.stretch(b.heard(p, r), r, b.glance(p), physics.EndsUnknown).UnitWeightUnder(physics.Loading{Load: load, Gravity: physics.AnyGravity()})
			return outcomeOf(b, p.mu, mu, err)
		}},
		{name: "weigh by a clip", measure: func(b bench) outcome {
			p := b.piece()
			mu, err := b.clipped(p).UnitWeight()
			return outcomeOf(b, p.mu, mu, err)
		}},
		{name: "tension by a clip", measure: func(b bench) outcome {
			p := b.piece()
			t, err := b.clipped(p).Tension()
			return outcomeOf(b, p.pull, t, err)
		}},
		{name: "weigh a cut", measure: func(b bench) outcome {
			mu, l := b.scattered(3e-4, 2e-2), b.between(0.1, 1)
			m := stated(b, physics.CutMass, physics.Mass(mu*l), physics.Mass(b.scattered(2e-4, 1e-2)*mu*l), physics.Gram, physics.Ounce)
			cut := stated(b, physics.CutLength, physics.Length(l), physics.Length(b.scattered(2e-4, 1e-3)), physics.Millimetre, physics.Inch)
			w, err := physics.Cut{Mass: m, Length: cut}.UnitWeight()
			return outcomeOf(b, mu, w, err)
		}},
		{name: "weigh a cut, tolerances not given", even: true, measure: func(b bench) outcome {
			mu, l := b.scattered(1e-3, 2e-2), b.between(0.2, 1)
			m := assumed(b, physics.CutMass, physics.Mass(mu*l), physics.Mass(0.01e-3/math.Sqrt(3)), evenly, physics.Gram)
			cut := assumed(b, physics.CutLength, physics.Length(l), 0.5e-3, normal, physics.Millimetre, physics.Inch)
			w, err := physics.Cut{Mass: m, Length: cut}.UnitWeight()
			return outcomeOf(b, mu, w, err)
		}},
	}
}

// mass is one that hangs, known to a part of itself, or to what is assumed in the
// role where that is zero.
func (b bench) mass(r physics.Role[physics.Force], m, relative float64) physics.Load {
	known := relative
	if known == 0 {
		known = 0.01
		if r == physics.HungLoad {
			known = 0.005
		}
	}
	units := []physics.Mass{physics.Kilogram, physics.Gram, physics.Pound}
	typed := physics.Measured[physics.Mass]{Value: physics.Mass(b.around(m, known*m)), U: physics.Mass(relative * m), Unit: units[b.IntN(3)]}
	l, err := physics.ParseLoad(r, typed.String())
	if err != nil {
		b.t.Fatal(err)
	}
	if u := l.Mass.Relative(); math.Abs(u/known-1) > 0.05 {
		b.t.Fatalf("%s: a mass ± %v is taken to be known to ± %v", string(r), known, u)
	}
	return l
}

// clipped is a piece with a clip of a few per cent of its mass at its middle, its ends
// unknown. What is heard is that mass over the mass of a string that sounds the same
// and has pinned ends.
func (b bench) clipped(p piece) physics.Clip {
	r := b.anyRecorder()
	h := b.heard(p, r)
	m := b.between(0.03, 0.12) * p.mu * p.length
	ratio := m / (p.mu * p.sounding())
	u, corr := ratio*b.scattered(1e-4, 2e-3), b.between(-0.5, 0.9)
	x, y := b.NormFloat64(), b.NormFloat64()
	h.F0.V = p.f0()/(1+r.fast) + h.F0.U*(corr*x+math.Sqrt(1-corr*corr)*y)
	s := b.stretch(h, r, b.rule(p), physics.EndsUnknown)
	return physics.Clip{
		Mass:   stated(b, physics.ClipMass, physics.Mass(m), physics.Mass(b.scattered(5e-4, 5e-3)*m), physics.Gram, physics.Milligram),
		Length: s.Length, Ratio: ratio + u*x, RatioU: u, F0: s.F0, Correlation: corr, B: s.B, Clock: s.Clock, Ends: s.Ends,
	}
}

// stiffnesses are the routes to the stiffness of a core by its sound.
func stiffnesses() []route {
	return []route{{name: "stiffness of the core", measure: func(b bench) outcome {
		p := b.piece()
		held, r := b.ends(&p), b.anyRecorder()
		ei, err := b.stretch(b.heard(p, r), r, b.rule(p), held).Stiffness(b.weight(p, b.scattered(5e-4, 5e-3)))
		return outcomeOf(b, p.bending, ei, err)
	}}}
}
