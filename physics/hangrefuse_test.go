package physics

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestHangRefuses(t *testing.T) {
	for _, c := range []struct {
		name  string
		hangs []Hang
		rig   func(*Rig)
		says  string
	}{
		{"nothing", nil, nil, "loads are missing"},
		{"one load", hung(0, 0, 20), nil, "all the same"},
		{"one load twice", hung(0, 0, 20, 20), nil, "all the same"},
		{"takes exchanged", func() []Hang {
			h := hung(0, 0, 20, 40)
			h[0].F0, h[0].B, h[1].F0, h[1].B = h[1].F0, h[1].B, h[0].F0, h[0].B
			return h
		}(), nil, "40N sounds lower than 20N"},
		{"two of five exchanged", func() []Hang {
			h := hung(0, compliant(), 20, 40, 60, 80, 100)
			h[1].F0, h[1].B, h[3].F0, h[3].B = h[3].F0, h[3].B, h[1].F0, h[1].B
			return h
		}(), nil, "sounds lower than"},
		{"one f0 for all", func() []Hang {
			h := hung(0, 0, 20, 40, 60)
			h[0], h[1] = Hang{h[0].Load, h[2].F0, h[2].B}, Hang{h[1].Load, h[2].F0, h[2].B}
			return h
		}(), nil, "lie on no line"},
		{"an octave heard for the note", func() []Hang {
			h := hung(0, 0, 20, 40, 60)
			h[0].F0.Value, h[0].B.Value = 2*h[0].F0.Value, 4*h[0].B.Value
			return h
		}(), nil, "that under 20N is more than 16 times as stiff as that under"},
		{"the fifth of another string under the heavy load", func() []Hang {
			h := hung(0, 0, 20, 100)
			h[1].F0.Value, h[1].B.Value = 1.5*h[1].F0.Value, 2.25*h[1].B.Value
			return h
		}(), nil, "that under 100N is more than 5"},
		{"loads too near each other", hung(0, 0, 20, 20.1), nil, "lie on no line"},
		{"two loads, one in another unit", func() []Hang {
			h := hung(0, 0, 20, 40)
			h[0].Load.Force.Value /= 100
			return h
		}(), nil, "more than half of the heaviest"},
		{"no length", hung(0, 0, 20, 40), func(r *Rig) { r.Length = Measured[Length]{} }, "speaking length must be positive"},
		{"NaN", func() []Hang {
			h := hung(0, 0, 20, 40)
			h[1].F0.Value = Frequency(math.NaN())
			return h
		}(), nil, "f0 must be positive"},
		{"no load", append(hung(0, 0, 20, 40), Hang{}), nil, "load must be positive"},
		{"masses without gravity", []Hang{{Load: Load{Mass: Stated[Mass](2, 0.001)}}}, func(r *Rig) { r.Gravity = Measured[Acceleration]{} }, "gravity must be positive"},
		{"endless scale", hung(0, 0, 20, 40), func(r *Rig) { r.Scale.U = math.Inf(1) }, "weights"},
	} {
		r := rig()
		if c.rig != nil {
			c.rig(&r)
		}
		h, err := r.UnitWeight(c.hangs)
		var input *InputError
		if !errors.As(err, &input) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, %v; want %q", c.name, h.UnitWeight.Measured, err, c.says)
		}
	}
}

// Whatever is hung, there is no panic and no number that is none.
func TestHangAnything(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	odd := []float64{0, -1, math.NaN(), math.Inf(1), 1e-300, 1e300, 1e-9, 1, 50}
	pick := func() float64 { return odd[r.IntN(len(odd))] }
	for range 20000 {
		x := Rig{Length: Stated(Length(pick()), Length(pick())), Gravity: AnyGravity(), Ends: Ends(r.IntN(3)),
			Clock: Relative{U: pick()}, Scale: Relative{U: pick()}}
		var hangs []Hang
		for range r.IntN(5) {
			hangs = append(hangs, Hang{Load: Load{Force: Stated(Force(pick()), Force(pick()))},
				F0: Stated(Frequency(pick()), Frequency(pick())), B: Stated(Inharmonicity(r.Float64()*0.1), 0)})
		}
		h, err := x.UnitWeight(hangs)
		if err != nil {
			continue
		}
		for _, v := range []float64{float64(h.UnitWeight.Value), float64(h.UnitWeight.U), float64(h.Offset.Value), float64(h.Offset.U), h.Chi2} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v of %+v %+v", h, x, hangs)
			}
		}
	}
}
