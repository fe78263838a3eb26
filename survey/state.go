package survey

import (
	"math"
	"slices"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// A State is what is known of the string at a place.
type State struct {
	Plucks []int // of Heard, those that count
	F0, F1 physics.Measured[physics.Frequency]
	B      physics.Measured[physics.Inharmonicity]
	Corr   float64
	Clip   *Clip // nil where it was not weighed on the way
	// Cents is how far F1 lies above the place's note, and U its standard uncertainty, but
	// for the recorder's clock.
	Cents, U float64
	Good     bool
	How      How
	// Moved is by how much the pitch changed since plucks that do not count, cents; 0 for
	// none.
	Moved float64
}

// Heard tells whether there is anything.
func (s State) Heard() bool { return len(s.Plucks) > 0 }

// States pools what is known of each place. Where a string was heard at pitches that are
// further apart than one that nobody touches gets, the last of them counts.
func States(places []Place, heard []Heard, verdicts []Verdict, r Rules) []State {
	out := make([]State, len(places))
	of := make([][]int, len(places))
	for i, v := range verdicts {
		if v.Place != Nowhere {
			of[v.Place] = append(of[v.Place], i)
			out[v.Place].How = v.How
		}
	}
	for p := range out {
		if len(of[p]) == 0 {
			continue
		}
		last := heard[of[p][len(of[p])-1]]
		first := 0
		for k, i := range of[p] {
			if by := cents(heard[i].F1.Value, last.F1.Value); math.Abs(by) > oneVoice+3*math.Hypot(uncertain(heard[i].F1), uncertain(last.F1)) {
				first, out[p].Moved = k+1, by
			}
		}
		out[p].pool(of[p][first:], heard)
		out[p].Cents = cents(places[p].Note, out[p].F1.Value)
		out[p].U = uncertain(out[p].F1)
		out[p].Good = physics.Coverage*out[p].U <= r.Good
	}
	return out
}

// goodEnough tells whether plucks of one string make its pitch good.
func goodEnough(heard []Heard, good float64) bool {
	if len(heard) == 0 {
		return false
	}
	return physics.Coverage*uncertain(pitchOf(heard, func(h Heard) physics.Measured[physics.Frequency] { return h.F1 })) <= good
}

func (s *State) pool(plucks []int, heard []Heard) {
	s.Plucks = plucks
	var all, stiff, clipped []Heard
	for _, i := range plucks {
		all = append(all, heard[i])
		if !heard[i].B.Assumed {
			stiff = append(stiff, heard[i])
		}
		if heard[i].Clip != nil {
			clipped = append(clipped, heard[i])
		}
	}
	s.F0 = pitchOf(all, func(h Heard) physics.Measured[physics.Frequency] { return h.F0 })
	s.F1 = pitchOf(all, func(h Heard) physics.Measured[physics.Frequency] { return h.F1 })
	known := len(stiff) > 0
	if !known {
		stiff = all
	}
	s.B = pooled(stiff, func(h Heard) (float64, float64) { return float64(h.B.Value), float64(h.B.U) },
		func(v, u, dof float64) physics.Measured[physics.Inharmonicity] {
			return physics.Measured[physics.Inharmonicity]{Value: physics.Inharmonicity(max(0, v)), U: physics.Inharmonicity(u), Assumed: !known, DoF: dof}
		})
	if len(all) == 1 {
		s.Corr = all[0].Corr
	}
	if len(clipped) > 0 {
		// Of another clip the ratio is another: the last one counts.
		mass := clipped[len(clipped)-1].Clip.Mass
		clipped = slices.DeleteFunc(clipped, func(h Heard) bool { return h.Clip.Mass.Value != mass.Value })
		c := pooled(clipped, func(h Heard) (float64, float64) { return h.Clip.Ratio, h.Clip.U },
			func(v, u, _ float64) Clip { return Clip{Mass: mass, Ratio: v, U: u} })
		if len(all) == 1 {
			c.Correlation = clipped[0].Clip.Correlation
		}
		s.Clip = &c
	}
}

// pitchOf pools frequencies.
func pitchOf(all []Heard, get func(Heard) physics.Measured[physics.Frequency]) physics.Measured[physics.Frequency] {
	return pooled(all, func(h Heard) (float64, float64) { m := get(h); return float64(m.Value), float64(m.U) },
		func(v, u, dof float64) physics.Measured[physics.Frequency] {
			return physics.Measured[physics.Frequency]{Value: physics.Frequency(v), U: physics.Frequency(u), DoF: dof}
		})
}

// pooled is their mean as detect pools the plucks of a take.
func pooled[T any](all []Heard, get func(Heard) (v, u float64), of func(v, u, dof float64) T) T {
	vs := make([]detect.Value, len(all))
	for i, h := range all {
		vs[i].V, vs[i].U = get(h)
	}
	mean, dof := detect.Mean(vs)
	return of(mean.V, mean.U, dof)
}
