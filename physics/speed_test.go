package physics

import "testing"

// A route is what follows what was read off.
type route struct {
	name string
	tell func(testing.TB) // value, budget, and what would improve it
	draw func(testing.TB) // a million draws, the result being there
}

func routeOf[Q Quantity](name string, result func() (Result[Q], error)) route {
	return route{
		name: name,
		tell: func(t testing.TB) {
			if r, err := result(); err != nil || len(r.Improvements()) == 0 {
				t.Fatal(r, err)
			}
		},
		draw: func(t testing.TB) {
			if _, err := must(result()).MonteCarlo(); err != nil {
				t.Fatal(err)
			}
		},
	}
}

func routes(t testing.TB) []route {
	s, w := bass()
	s.B.U, s.Corr, s.Clock, s.F0.DoF = 1e-6, -0.8, Relative{U: 58e-6, Assumed: true}, 4
	c := clipped()
	c.Clock = s.Clock
	r := Rig{Length: Stated[Length](0.65, 0.1e-3), Clock: s.Clock, Gravity: AnyGravity()}
	line := func(off Force) func() (Result[UnitWeight], error) {
		hangs := hung(1, compliant(), 20, 40, 60, 80, 100)
		hangs[2].Load.Force.Value *= off
		return func() (Result[UnitWeight], error) {
			h, err := r.UnitWeight(hangs)
			return h.UnitWeight, err
		}
	}
	return []route{
		routeOf("tension", func() (Result[Force], error) { return s.Tension(w) }),
		routeOf("pull", func() (Result[UnitWeight], error) { return s.UnitWeight(Stated[Force](150, 1)) }),
		routeOf("hang", line(1)),
		routeOf("hang, scattered", line(1.02)), // beyond what the loads explain
		routeOf("clip", c.UnitWeight),
		routeOf("clip's tension", c.Tension),
		routeOf("cut", Cut{Stated(9*Gram, 0.01*Gram), Stated[Length](0.5, 0.5e-3)}.UnitWeight),
		routeOf("build", bassBuild(t).UnitWeight),
	}
}

// The goal is a millisecond.
func BenchmarkFullBudget(b *testing.B) {
	for _, r := range routes(b) {
		b.Run(r.name, func(b *testing.B) {
			for b.Loop() {
				r.tell(b)
			}
		})
	}
}

// The goal is 0.3 s, on two cores.
func BenchmarkMonteCarlo(b *testing.B) {
	for _, r := range routes(b) {
		b.Run(r.name, func(b *testing.B) {
			for b.Loop() {
				r.draw(b)
			}
		})
	}
}
