// Package lessontest has simulated sounds for every lesson, with the truth about them, so
// that package lesson, the command and the page are all held to the same.
package lessontest

import (
	"math"
	"math/rand/v2"

	"pluckweigh/audio/synth"
	"pluckweigh/lesson"
)

// A Sounding is one simulated take and what a pupil tells with it.
type Sounding struct {
	Take synth.Take
	X    []lesson.Value
}

// Bass is the string that most lessons are played on: of music wire, plain, 0.6 mm thick and
// 0.65 m long.
func Bass() synth.String {
	const e, rho, d = 206e9, 7850, 0.6e-3
	area := math.Pi * d * d / 4
	return synth.String{Length: 0.65, Tension: 60, UnitWeight: rho * area, Stiffness: e * math.Pi * math.Pow(d, 4) / 64,
		Decay: synth.Decay{Base: 0.9, Rise: 0.35}}
}

// Played is a take of a string, plucked at a fifth, with noise.
func Played(s synth.String, seed uint64) synth.Take {
	return synth.Take{String: s, Plucks: []synth.Pluck{{At: 0.4, Height: 2e-3, Point: 0.19, Width: 2e-3}},
		Pickup: synth.Pickup{Senses: synth.BridgeForce}, Rate: 44100, Seconds: 3.4, Level: -6, MaxPartials: 60,
		Noise: []synth.Noise{{DB: 40}}, Seed: seed}
}

// A Lesson is what is played in it, what is told once, and the truth.
type Lesson struct {
	All    func() []Sounding
	Givens lesson.Givens
	Truth  map[string]float64 // by the symbols of findings
}

// Lessons are all of them, what pupils tell being off as they say.
func Lessons(random *rand.Rand) map[string]Lesson {
	near := func(v, u float64) lesson.Value { return lesson.Value{V: v + u*random.NormFloat64(), U: u} }
	s := Bass()
	thin := s
	thin.Stiffness /= 40
	const half = 0.5e-3 // m, of a rule
	return map[string]Lesson{
		"length": {func() (all []Sounding) {
			for i, l := range []float64{0.65, 0.57, 0.5, 0.43, 0.37, 0.31} {
				q := thin
				q.Length = l
				all = append(all, Sounding{Played(q, uint64(i)), []lesson.Value{near(l, half)}})
			}
			return all
		}, nil, map[string]float64{"p": 1, "v": math.Sqrt(thin.Tension / thin.UnitWeight)}},
		"tension": {func() (all []Sounding) {
			for i, n := range []float64{20, 30, 42, 55, 70, 85} {
				q := s
				q.Tension = n
				all = append(all, Sounding{Played(q, uint64(i)), []lesson.Value{near(n, 0.002*n)}})
			}
			return all
		}, lesson.Givens{"speaking length": {V: 0.65}}, map[string]float64{"p": 1, "T0": 0, "µ": 1000 * s.UnitWeight}},
		"unit-weight": {func() (all []Sounding) {
			for i, k := range []float64{0.4, 0.6, 1, 1.5, 2.2} {
				q := s
				q.UnitWeight *= k
				all = append(all, Sounding{Played(q, uint64(i)), []lesson.Value{near(q.UnitWeight, 0.003*q.UnitWeight)}})
			}
			return all
		}, nil, map[string]float64{"p": 1}},
		"harmonics": {func() (all []Sounding) {
			for n := 1; n <= 5; n++ {
				take := Played(thin, uint64(n))
				for k := 1; k <= 60; k++ {
					if k%n != 0 {
						take.Omit = append(take.Omit, k)
					}
				}
				all = append(all, Sounding{take, []lesson.Value{{V: float64(n)}}})
			}
			return all
		}, nil, map[string]float64{"p": 1, "f1": thin.Partial(1)}},
		"frets": {func() (all []Sounding) {
			for _, n := range []int{0, 2, 4, 5, 7, 9, 12} {
				q := s
				q.Length *= math.Exp2(-float64(n) / 12)
				all = append(all, Sounding{Played(q, uint64(n)), []lesson.Value{{V: float64(n)}}})
			}
			return all
		}, nil, map[string]float64{"s": 1, "f(12)/f(0)": 2}},
		"stiffness": {func() []Sounding { return []Sounding{{Take: Played(s, 1)}} }, nil,
			map[string]float64{"B": s.B(), "f0": s.F0(), "f2/f1": s.Partial(2) / s.Partial(1)}},
		"pluck": {func() (all []Sounding) {
			for i, x := range []float64{0.07, 0.11, 0.16, 0.22, 0.29} {
				take := Played(s, uint64(i))
				take.Plucks[0].Point = x / s.Length
				all = append(all, Sounding{take, []lesson.Value{near(x, 1e-3)}})
			}
			return all
		}, lesson.Givens{"speaking length": {V: 0.65, U: half}}, map[string]float64{"β·L/x": 1}},
		"decay": {func() []Sounding { return []Sounding{{Take: Played(s, 2)}} }, nil,
			map[string]float64{"4π²·b3": s.Decay.Rise, "b1": s.Decay.Base}},
		"glide": {func() []Sounding {
			q := s
			q.AxialStiffness = 206e9 * math.Pi * 0.6e-3 * 0.6e-3 / 4
			take := Played(q, 3)
			take.Plucks, take.Seconds = nil, 25
			for i, h := range []float64{0.6, 1.5, 0.9, 1.2, 2.2, 0.75, 1.8, 1.05} {
				take.Plucks = append(take.Plucks, synth.Pluck{At: 0.4 + 3*float64(i), Height: h * 1e-3, Point: 0.19, Width: 2e-3})
			}
			take.Noise = []synth.Noise{{DB: 30}}
			return []Sounding{{Take: take}}
		}, nil, map[string]float64{"p": 1}},
		"clip": {func() (all []Sounding) {
			q := s
			whole := q.UnitWeight * q.Length
			for i, share := range []float64{0.025, 0.04, 0.07, 0.11} {
				take := Played(q, uint64(i))
				take.String.Clip = synth.Clip{Mass: share * whole, At: 0.5005}
				take.Rate, take.Seconds = 22050, 2.4
				all = append(all, Sounding{take, []lesson.Value{near(share*whole, 1e-6)}})
			}
			return all
		}, lesson.Givens{"speaking length": {V: 0.65, U: 0.2e-3}}, map[string]float64{"p": 1, "M": 1e3 * s.UnitWeight * s.Length, "µ": 1e3 * s.UnitWeight}},
		"temperature": {func() (all []Sounding) {
			for i, c := range []float64{15, 25, 18, 22, 28, 20} {
				q := s
				ea := 206e9 * s.UnitWeight / 7850
				q.Tension -= ea * 12e-6 * (c - 20)
				all = append(all, Sounding{Played(q, uint64(i)), []lesson.Value{near(c, 0.2), near([]float64{20, 21, 25, 17, 19, 27}[i], 0.2)}})
			}
			return all
		}, lesson.Givens{lesson.Warmth: {V: -600 / math.Ln2 * 206e9 * s.UnitWeight / 7850 * 12e-6 / s.Tension, U: 0.02}},
			map[string]float64{"b": -600 / math.Ln2 * 206e9 * s.UnitWeight / 7850 * 12e-6 / s.Tension, "b_air": 0}},
	}
}
