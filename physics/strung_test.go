package physics

import (
	"math"
	"testing"
)

// Whatever a string is said to be, what it will do is a number or an error.
func FuzzStrung(f *testing.F) {
	f.Add(0.648, 73.0, 0.254e-3, 206e9, 12e-6, 5.0, 4e-6, 100.0, 5e-3, 0.01)
	f.Add(0.8636, 163.2, 0.53e-3, 206e9, 17e-6, -20.0, 0.0, 1200.0, 0.2, 0.2)
	f.Add(1e-300, 1e300, 5e-324, math.Inf(1), math.NaN(), 0.0, -1.0, -1.0, math.MaxFloat64, -0.0)
	f.Fuzz(func(t *testing.T, length, pull, size, modulus, expansion, step, frame, cents, depth, u float64) {
		steel := must(ParseMaterial("music wire"))
		steel.Modulus = Stated(Pressure(modulus), Pressure(modulus*u))
		steel.Expansion = Stated(Expansion(expansion), Expansion(expansion*u))
		s := Strung{
			Length: Stated(Length(length), Length(length*u)),
			Pull:   Result[Force]{Measured: Stated(Force(pull), Force(pull*u))},
			Core:   Core{Size: Stated(Length(size), Length(size*u)), Of: steel},
		}
		sound := func(what string, v, u float64, err error) {
			if bad := math.IsNaN(v) || math.IsInf(v, 0) || !(u >= 0) || math.IsInf(u, 0); bad || err != nil && (v != 0 || u != 0) {
				t.Errorf("%s is %v ± %v, %v", what, v, u, err)
			}
		}
		stress, err := s.Stress()
		sound("stress", float64(stress.Value), float64(stress.U), err)
		side, err := s.SideStiffness()
		sound("side stiffness", float64(side.Value), float64(side.U), err)
		w, err := s.Warmed(Stated(TemperatureStep(step), TemperatureStep(math.Abs(step*u))), Stated(Expansion(frame), Expansion(frame*u)))
		sound("shift", float64(w.Shift.Value), float64(w.Shift.U), err)
		sound("pull when warm", float64(w.Pull.Value), float64(w.Pull.U), err)
		for _, ask := range []func() (Deflection, error){
			func() (Deflection, error) { return s.Bent(Stated(PitchInterval(cents), PitchInterval(cents*u))) },
			func() (Deflection, error) { return s.Pushed(Stated(Length(depth), Length(depth*u))) },
		} {
			d, err := ask()
			sound("depth", float64(d.Depth.Value), float64(d.Depth.U), err)
			sound("side force", float64(d.Side.Value), float64(d.Side.U), err)
			sound("raise", float64(d.Raise.Value), float64(d.Raise.U), err)
		}
		limits, err := s.Limits()
		if (err != nil) != (len(limits) == 0) {
			t.Errorf("limits %v, %v", limits, err)
		}
		for _, l := range limits {
			sound("load", float64(l.Load.Value), float64(l.Load.U), nil)
			sound("headroom", float64(l.Headroom.Value), float64(l.Headroom.U), nil)
		}
	})
}

// All that is asked of one string.
func BenchmarkOutlook(b *testing.B) {
	s := guitarE()
	for b.Loop() {
		must(s.Stress())
		must(s.Limits())
		must(s.SideStiffness())
		must(s.Bent(Stated(Semitone, 0)))
		must(s.Pushed(Stated(5*Millimetre, 0)))
		must(s.Warmed(Stated(5*Kelvin, 0), Measured[Expansion]{}))
	}
}
