package detect_test

import (
	"math"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// heardTake is take i of the tuning stream's hard ones, its truth and what is heard of it.
func heardTake(t *testing.T, i uint64) (detecttest.Case, synth.Truth, detect.Take) {
	t.Helper()
	c := detecttest.Hard(detecttest.Tuning, i)
	x, truth, err := c.Take.Render()
	if err != nil {
		t.Fatal(err)
	}
	got, err := detect.Analyze(x, c.Take.Rate, detect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return c, truth, got
}

// TestNodesAndNeighbors: a string that is plucked at one node and heard at another has few
// partials left, and a faint neighbour's among them, or rumble's own peaks, do not make it
// another string, two, or none. Takes of the tuning stream that were refused once.
func TestNodesAndNeighbors(t *testing.T) {
	for i, why := range map[uint64]string{
		98:  "a neighbour's partials stand at every fourth, where its own are none",
		129: "two nodes leave a third of many clear partials",
		135: "a peak of the rumble stands beside three partials",
		161: "likewise, beside five",
		224: "a neighbour's partials stand at a third of the even ones, where its own are none",
		274: "a neighbour's partials lie half-way between its own",
	} {
		c, truth, got := heardTake(t, i)
		if got.Reading == nil {
			t.Errorf("%v (%s): refused", c, why)
			continue
		}
		if off := 1200 * math.Log2(got.Reading.F0.V/truth.F0); math.Abs(off) > 1 {
			t.Errorf("%v (%s): %.2f cents off", c, why, off)
		}
	}
}

// TestFaintOnesDoNotOutvote: twelve faint partials and four clear ones, all moved a little
// by a second direction, keep to one law; the clear ones were once set aside as outliers.
func TestFaintOnesDoNotOutvote(t *testing.T) {
	c, truth, got := heardTake(t, 148)
	if got.Reading == nil {
		t.Fatalf("%v: refused", c)
	}
	if off := got.Reading.F0.V - truth.F0; math.Abs(off) > 4*got.Reading.F0.U {
		t.Errorf("%v: %.4f Hz off, u %.4f", c, off, got.Reading.F0.U)
	}
	for n := range 2 {
		if p := got.Plucks[0].Partials[n]; p.N != 2*n+1 || !p.Used {
			t.Errorf("%v: partial %d is not used", c, 2*n+1)
		}
	}
}
