package detect_test

import (
	"math"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
)

// TestTurnedPegIsRefused: while the peg is turned, however slowly, there is no
// pitch to be read, whatever the string does besides.
func TestTurnedPegIsRefused(t *testing.T) {
	for _, c := range []struct{ hz, ramp, glide, second float64 }{ // cents a second; cents
		{40, -3, 0, 0},
		{55, 20, 0, 0},
		{55, -20, 0, 0},
		{62, 8, 12, 0},
		{82.4, -3, 12, 0},
		{82.4, 3, 6, 2},
		{110, 60, 12, 0},
		{110, -8, 6, 2},
		{147, 3, 0, 0},
		{196, -20, 6, 0},
		{330, -3, 6, 0},
		{400, -8, 0, 0},
		{400, 60, 0, 0},
	} {
		tk := ringing(c.hz)
		tk.Ramp, tk.Plucks[0].GlideCents = c.ramp, c.glide
		if c.second != 0 {
			tk.String.Second = synth.Polarization{Share: 0.4, Cents: c.second}
		}
		wantRefused(t, c, c.hz, tk, detect.Unsteady)
	}
}

// TestGlideIsRead: the glide of a pluck and the beats of two polarisations are no
// turning peg.
func TestGlideIsRead(t *testing.T) {
	for _, c := range []struct{ hz, glide, second float64 }{ // cents
		{41.2, 0, 0},
		{41.2, 15, 3},
		{55, 5, -3},
		{82.4, 0, 3},
		{82.4, 10, -2},
		{110, 2, 1.5},
		{110, 15, 0},
		{147, 5, -1.5},
		{196, 8, 3},
		{247, 15, -3},
		{330, 0, -0.7},
		{330, 10, 2},
		{392, 15, 0},
	} {
		tk := ringing(c.hz)
		tk.Plucks[0].GlideCents = c.glide
		if c.second != 0 {
			tk.String.Second = synth.Polarization{Share: 0.4, Cents: c.second}
		}
		take := analyze(t, render(t, tk), detect.Options{})
		if take.Reading == nil {
			t.Errorf("%v: not read, doubts %v", c, codes(take))
			continue
		}
		// The truth is the string's without the second polarisation.
		if e, u := off(take.Reading.F0, c.hz); math.Abs(e) > max(3*u, 0.5) {
			t.Errorf("%v: %+.2f cents off, u %.2f", c, e, u)
		}
	}
}
