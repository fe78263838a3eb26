package choose

import (
	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// PullOf is how hard a string pulls at a position, its stiffness counted as far as it
// is known. Terms of the budget as in physics.Stretch.Tension. The error is an
// *InputError.
func PullOf(p Position, s traits.String) (physics.Result[physics.Force], error) {
	b := inharmonicity(s.Stiff(), physics.TensionOf(s.UnitWeight.Value, p.Length.Value, p.F0), p.Length.Value)
	return physics.Stretch{Length: p.Length, F0: physics.Stated(p.F0, 0), B: b, Ends: p.Ends}.Tension(s.UnitWeight)
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

// pushed is the side force of a push with its uncertainty: that of a string whose
// core is not known without what it stretches by.
func pushed(p Position, s *traits.String, pull physics.Result[physics.Force], depth physics.Length) physics.Measured[physics.Force] {
	out := physics.Measured[physics.Force]{Value: sideways(pull.Value, p.Length.Value, depth)}
	strung := physics.Strung{Length: p.Length, Pull: pull, Core: s.Core}
	if s.Cored() {
		x := float64(depth / p.Length.Value)
		out.Value += 8 * s.Core.EA() * physics.Force(x*x*x)
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

// sideways is the side force of a string that does not stretch, 4Td/L.
func sideways(pull physics.Force, l, depth physics.Length) physics.Force {
	return 4 * pull * physics.Force(depth/l)
}

// supple is the pull of one that has a side force.
func supple(side physics.Force, l, depth physics.Length) physics.Force {
	return side * physics.Force(l/depth) / 4
}
