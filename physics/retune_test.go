package physics

import (
	"math"
	"testing"
)

func TestRetuned(t *testing.T) {
	s, w := bass()
	s.Clock = Relative{U: 1e-4}
	for _, ends := range []Ends{EndsPinned, EndsUnknown, EndsClamped} {
		s.Ends = ends
		now := must(s.Tension(w))
		same := must(must(s.Retuned(s.F0.Value)).Tension(w))
		if math.Abs(float64(same.Value/now.Value)-1) > 1e-12 || !(same.U < now.U) {
			t.Errorf("ends %v: %v at the same pitch, was %v", ends, same.Measured, now.Measured)
		}
		octave := must(s.Retuned(s.F0.Value.Raise(Octave)))
		if b := octave.B.Value / s.B.Value; math.Abs(float64(b)-0.25) > 1e-12 {
			t.Errorf("ends %v: B at the octave is %v of what it was", ends, b)
		}
		if ends == EndsPinned {
			if four := must(octave.Tension(w)).Value / now.Value; math.Abs(float64(four)-4) > 1e-12 {
				t.Errorf("pull at the octave is %v of what it was", four)
			}
		}
	}
	for _, bad := range []Frequency{0, -55, Frequency(math.NaN()), Frequency(math.Inf(1)), 1e-3} {
		if r, err := s.Retuned(bad); err == nil {
			t.Errorf("retuned to %v: %+v", float64(bad), r)
		}
	}
	if up := Frequency(440).Raise(-1 * Semitone); math.Abs(float64(up)-415.3047) > 1e-4 {
		t.Errorf("a semitone below 440 Hz is %v", up)
	}
}

// A string that is pulled until its whole length sounds right: what is wound onto
// the peg leaves less mass between the ends.
func TestThinnedAgainstWinding(t *testing.T) {
	for _, c := range []struct {
		material string
		mm, pull float64
	}{{"music wire", 0.254, 73}, {"nylon", 0.7, 55}} {
		s := guitarE()
		s.Pull.Measured, s.Core = Stated(Force(c.pull), 0), Core{Size: Stated(Length(c.mm)*Millimetre, 0), Of: must(ParseMaterial(c.material))}
		ea := float64(must(s.Core.Axial()).Value)
		const ratio = 1.1224620483 // a whole tone
		// T' = T·ratio²·µ'/µ and µ'/µ = (1+T/EA)/(1+T'/EA), by bisection.
		low, high := c.pull, 2*c.pull
		for range 100 {
			mid := (low + high) / 2
			if mid < c.pull*ratio*ratio*(1+c.pull/ea)/(1+mid/ea) {
				low = mid
			} else {
				high = mid
			}
		}
		plain := must(s.Retuned(1, ratio))
		got := must(s.Thinned(plain))
		gone := float64(plain.Value) - low // what thinning takes
		if !(gone > 0) || math.Abs(float64(got.Value)-low) > 0.15*gone {
			t.Errorf("%s: %v N, unthinned %v, winding says %v", c.material, float64(got.Value), float64(plain.Value), low)
		}
	}
	if r, err := guitarE().Retuned(0, 100); err == nil {
		t.Errorf("from no pitch: %v", r)
	}
	if r, err := (Strung{}).Retuned(100, 100); err == nil {
		t.Errorf("of no string: %v", r)
	}
	if r, err := guitarE().Thinned(Result[Force]{}); err == nil {
		t.Errorf("to no pull: %v", r)
	}
}
