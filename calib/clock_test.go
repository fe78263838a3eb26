package calib

import (
	"errors"
	"math"
	"testing"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

func TestTrue(t *testing.T) {
	// A clock 100 ppm fast makes 48 004.8 samples of a second that is called
	// 48 000: a tone of 440 Hz comes out as 440·48000/48004.8.
	heard := detect.Value{V: 440 * 48000 / 48004.8, U: 0.01}
	got, err := Clock{PPM: 100, U: 2}.True(heard)
	if err != nil || math.Abs(got.V-440) > 1e-9 || math.Abs(got.U-0.010001) > 1e-9 {
		t.Errorf("got %v, %v; want 440", got, err)
	}
	if got, err := Uncalibrated().True(heard); err != nil || got != heard {
		t.Errorf("an uncalibrated clock makes %v of %v, %v", got, heard, err)
	}
}

// Within ±100 ppm and rectangular: 57.7 ppm, which is 0.1 cent.
func TestUncalibrated(t *testing.T) {
	c := Uncalibrated()
	r := c.Relative()
	if math.Abs(r.U-57.735e-6) > 1e-9 || !r.Assumed {
		t.Errorf("relative uncertainty %+v", r)
	}
	if cents := 1200 * math.Log2(1+r.U); math.Abs(cents-0.1) > 0.001 {
		t.Errorf("%v cents, want 0.1", cents)
	}
	if c.Source == "" {
		t.Error("no source is named")
	}
	if r := (Clock{PPM: 100, U: 2}).Relative(); r.Assumed || math.Abs(r.U/2e-6-1) > 1e-3 {
		t.Errorf("calibrated: %+v", r)
	}
}

// The clock reaches the tension twice over, as any frequency does: 100 ppm of
// it are 0.02 % of tension.
func TestClockInBudget(t *testing.T) {
	s := physics.Stretch{
		Length: physics.Stated(864*physics.Millimetre, 0),
		F0:     physics.Stated[physics.Frequency](55, 0),
		Clock:  Clock{U: 100}.Relative(),
	}
	r, err := s.Tension(physics.Stated(12*physics.GramPerMetre, 0))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Relative()-2e-4) > 1e-9 {
		t.Errorf("relative uncertainty of tension %v, want 0.0002", r.Relative())
	}
	if b := r.Budget[0]; b.Input != "recorder clock" || b.Share != 1 {
		t.Errorf("budget %+v", r.Budget)
	}
}

func TestRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []Clock{
		{PPM: nan}, {PPM: inf}, {PPM: -inf}, {PPM: 88000}, {U: nan}, {U: inf}, {U: -1}, {U: 1e5},
	} {
		got, err := c.True(detect.Value{V: 440})
		var input *physics.InputError
		if !errors.As(err, &input) || got != (detect.Value{}) {
			t.Errorf("%+v: %v, %v", c, got, err)
		}
	}
}
