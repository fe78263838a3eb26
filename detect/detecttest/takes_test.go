package detecttest

import (
	"math"
	"reflect"
	"slices"
	"testing"
)

// conditions are all that hard takes are to be hard by.
var conditions = []string{
	"high-pass at 80 Hz", "high-pass at 120 Hz",
	"plucked at 1/2", "plucked at 1/3", "plucked at 1/4", "plucked at 1/5", "plucked near the bridge",
	"pickup at the null 1/2", "pickup at the null 1/3", "pickup at the null 1/4", "pickup at the null 1/5",
	"hum", "pink noise at 10 dB", "rumble louder than the note", "neighbour 20 dB down",
	"white noise at 20 to 50 dB", "two polarisations", "glide",
	"16 kHz", "22.05 kHz", "32 kHz", "44.1 kHz", "48 kHz", "88.2 kHz", "96 kHz", "192 kHz",
}

// TestHardCoversAll: every condition occurs in at least 4 % of the takes, and all
// of them render.
func TestHardCoversAll(t *testing.T) {
	const count = 1000
	seen := map[string]int{}
	var octaves [5]int
	for i := range uint64(count) {
		c := Hard(Tuning, i)
		if err := c.Take.Validate(); err != nil {
			t.Errorf("%v: %v", c, err)
		}
		for _, m := range c.Marks {
			if !slices.Contains(conditions, m) {
				t.Fatalf("condition %q is on no list", m)
			}
			seen[m]++
		}
		f0 := c.Take.String.F0()
		if f0 < 22.99 || f0 > 660.01 {
			t.Errorf("%v: out of range", c)
		}
		octaves[min(4, int(math.Log2(f0/22.99)))]++
	}
	for _, m := range conditions {
		if seen[m] < count*4/100 {
			t.Errorf("%s: %d of %d takes", m, seen[m], count)
		}
	}
	for i, n := range octaves {
		if n < 100 {
			t.Errorf("octave %d: %d of %d takes", i, n, count)
		}
	}
}

// kindsOf lists what can be drawn.
var kindsOf = map[string]func(Stream, uint64) Case{"hard": Hard, "clean": Clean, "rest": Rest}

// TestStreamsDiffer: the streams have no take in common, not even its noise, and a
// take drawn twice is the same.
func TestStreamsDiffer(t *testing.T) {
	for name, draw := range kindsOf {
		pitch, seeds := map[float64]bool{}, map[uint64]bool{}
		for _, s := range []Stream{Tuning, Reporting} {
			for i := range uint64(200) {
				c := draw(s, i)
				if !reflect.DeepEqual(c, draw(s, i)) {
					t.Fatalf("%s take %d of the %v stream differs when drawn again", name, i, s)
				}
				f0 := c.Take.String.F0()
				if pitch[f0] || seeds[c.Take.Seed] {
					t.Errorf("%s take %d of the %v stream has a twin", name, i, s)
				}
				pitch[f0], seeds[c.Take.Seed] = true, true
			}
		}
	}
	for _, s := range []Stream{Tuning, Reporting} {
		if got, err := ParseStream(s.String()); got != s || err != nil {
			t.Errorf("%v is parsed to %v, %v", s, got, err)
		}
	}
	if _, err := ParseStream("both"); err == nil {
		t.Error("a stream of no name is found")
	}
}

func TestTakesRender(t *testing.T) {
	for name, draw := range kindsOf {
		for i := range uint64(3) {
			c := draw(Tuning, i)
			x, truth, err := c.Take.Render()
			if err != nil {
				t.Fatalf("%s: %v: %v", name, c, err)
			}
			p := truth.Plucks[0]
			switch {
			case len(x) == 0 || len(p.Partials) == 0:
				t.Errorf("%s: %v: nothing rings", name, c)
			case name == "clean" && (truth.White != truth.Sigma || p.GlideCents != 0 || truth.SNRdB < 9.9 || truth.SNRdB > 40.1 || math.Abs(c.Take.Seconds-2) > 0):
				t.Errorf("%v: not as promised, truth %+v", c, truth)
			case name == "rest" && (!(p.GlideCents > 0) || p.GlideCents > 20.01):
				t.Errorf("%v: glide %g", c, p.GlideCents)
			}
		}
	}
}
