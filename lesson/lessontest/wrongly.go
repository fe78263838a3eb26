package lessontest

import (
	"math"

	"pluckweigh/audio/synth"
	"pluckweigh/lesson"
)

// Wrongly are simulated sounds of strings that obey another law than the textbook's, and of
// pupils who do not tell what they did.
var Wrongly = map[string]func() ([]Sounding, lesson.Givens){
	// Pressed down harder the shorter it is: f0 goes with 1/L to the power of 1.2.
	"length": func() (all []Sounding, _ lesson.Givens) {
		for i, l := range []float64{0.65, 0.57, 0.5, 0.43, 0.37, 0.31} {
			q := Bass()
			q.Stiffness /= 40
			q.Length = l
			q.Tension *= math.Pow(0.65/l, 0.4)
			all = append(all, Sounding{Played(q, uint64(i)), []lesson.Value{{V: l, U: 0.5e-3}}})
		}
		return all, nil
	},
	// A string that grows longer and lighter under its load.
	"tension": func() (all []Sounding, _ lesson.Givens) {
		for i, n := range []float64{20, 30, 42, 55, 70, 85} {
			q := Bass()
			q.Tension = n
			q.UnitWeight *= math.Pow(n/60, -0.3)
			all = append(all, Sounding{Played(q, uint64(i)), []lesson.Value{{V: n, U: 0.002 * n}}})
		}
		return all, nil
	},
	// Frets for seventeen equal steps to the octave.
	"frets": func() (all []Sounding, _ lesson.Givens) {
		for _, n := range []int{0, 2, 4, 5, 7, 9, 12} {
			q := Bass()
			q.Length *= math.Exp2(-float64(n) / 17)
			all = append(all, Sounding{Played(q, uint64(n)), []lesson.Value{{V: float64(n)}}})
		}
		return all, nil
	},
	// Places measured from the wrong point.
	"pluck": func() (all []Sounding, _ lesson.Givens) {
		for i, x := range []float64{0.07, 0.11, 0.16, 0.22, 0.25} {
			take := Played(Bass(), uint64(i))
			take.Plucks[0].Point = x / 0.65
			all = append(all, Sounding{take, []lesson.Value{{V: x + 0.03, U: 1e-3}}})
		}
		return all, lesson.Givens{"speaking length": {V: 0.65, U: 0.5e-3}}
	},
	// A glide that goes with the swing and not with its square.
	"glide": func() ([]Sounding, lesson.Givens) {
		take := Played(Bass(), 3)
		take.Plucks, take.Seconds = nil, 25
		for i, h := range []float64{0.6, 1.5, 0.9, 1.2, 2.2, 0.75, 1.8, 1.05} {
			take.Plucks = append(take.Plucks, synth.Pluck{At: 0.4 + 3*float64(i), Height: h * 1e-3, Point: 0.19, Width: 2e-3, GlideCents: 4 * h})
		}
		return []Sounding{{Take: take}}, nil
	},
	// A string in tune with the air, like a flute.
	"temperature": func() (all []Sounding, _ lesson.Givens) {
		for i, c := range []float64{15, 25, 18, 22, 28, 20} {
			q := Bass()
			q.Tension *= (273.15 + c) / 293.15
			all = append(all, Sounding{Played(q, uint64(i)), []lesson.Value{{V: c, U: 0.2}}})
		}
		return all, nil
	},
	// Masses that were told with the paper they were wrapped in.
	"clip": func() (all []Sounding, _ lesson.Givens) {
		whole := Bass().UnitWeight * 0.65
		for i, share := range []float64{0.025, 0.05, 0.08, 0.11} {
			take := Played(Bass(), uint64(i))
			take.String.Clip = synth.Clip{Mass: share * whole, At: 0.5005}
			take.Rate, take.Seconds = 22050, 2.4
			all = append(all, Sounding{take, []lesson.Value{{V: (share + 0.03) * whole, U: 1e-6}}})
		}
		return all, nil
	},
}
