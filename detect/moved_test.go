package detect_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
)

// movedString is a string of fundamental hz whose pitch lies so many cents above its own
// t seconds after the pluck, in faint noise. amp is the amplitude of partial n then.
func movedString(hz, b float64, cents func(t float64) float64, amp func(n int, f, t float64) float64) []float64 {
	const start, secs, step = 0.4, 2.6, 1.0 / rate
	r := rand.New(rand.NewPCG(uint64(1000*hz), 3))
	x := make([]float64, int((start+secs)*rate))
	on := int(start * rate)
	time := make([]float64, len(x)) // as the string's own clock runs
	for i := on + 1; i < len(x); i++ {
		time[i] = time[i-1] + step*math.Exp2(cents((float64(i-on)-0.5)*step)/1200)
	}
	for n := 1; n <= 20 && float64(n)*hz < 7000; n++ {
		f := float64(n) * hz * math.Sqrt(1+b*float64(n*n))
		phase := 2 * math.Pi * r.Float64()
		for i := on; i < len(x); i++ {
			x[i] += amp(n, f, float64(i-on)*step) * math.Cos(2*math.Pi*f*time[i]+phase)
		}
	}
	for i := range x {
		x[i] += 2e-4 * r.NormFloat64()
	}
	return x
}

// plucked is the amplitude of a string's partial.
func plucked(n int, f, t float64) float64 {
	return 0.25 * math.Abs(math.Sin(0.6*float64(n))) / float64(n) * math.Exp(-(0.8+2*f*f/1e6)*t)
}

// wantCovered fails where a reading is trusted and does not hold hz within 3u.
func wantCovered(t *testing.T, what any, take detect.Take, hz float64) {
	t.Helper()
	if take.Reading == nil {
		return
	}
	if e, u := off(take.Reading.F0, hz); !(math.Abs(e) < 3*u) {
		t.Errorf("%v: read %+.2f cents off, u %.2f", what, e, u)
	}
}

// TestMovedPitchIsCovered: a pitch that moves otherwise than a string's is refused, or
// its reading's uncertainty holds the string's own.
func TestMovedPitchIsCovered(t *testing.T) {
	t.Parallel()
	read := 0
	for _, c := range []struct {
		hz, depth, secs float64
		kind            string
	}{
		{223.8, 1.9, 0.6, "vibrato"}, {146.5, 3.2, 0.35, "vibrato"},
		{98.3, 5.1, 1.17, "release"}, {101.7, 25, 1.2, "release"}, {492, 9, 1.1, "release"},
		{215.5, -1.9, 0.9, "step"}, {120, -8, 0.63, "step"},
	} {
		pitch := map[string]func(s float64) float64{
			"vibrato": func(s float64) float64 { return c.depth * math.Sin(2*math.Pi*c.secs*s+1) },
			"release": func(s float64) float64 { return c.depth * max(0, 1-s/c.secs) },
			"step": func(s float64) float64 {
				if s > c.secs {
					return c.depth
				}
				return 0
			},
		}[c.kind]
		take := analyze(t, movedString(c.hz, 5e-5, pitch, plucked), detect.Options{})
		if take.Reading == nil {
			continue
		}
		read++
		// After a step either pitch is the string's.
		if e, _ := off(take.Reading.F0, c.hz); c.kind == "step" && math.Abs(e-c.depth) < math.Abs(e) {
			wantCovered(t, c, take, c.hz*math.Exp2(c.depth/1200))
			continue
		}
		wantCovered(t, c, take, c.hz)
	}
	if read == 0 {
		t.Error("none was read: nothing was tested")
	}
}

// TestWaveringPitchIsRefused: a vibrato that all partials follow is no string at rest;
// the same string without it is read.
func TestWaveringPitchIsRefused(t *testing.T) {
	t.Parallel()
	for _, hz := range []float64{82.4, 330} {
		for _, depth := range []float64{0, 5} {
			x := movedString(hz, 5e-5, func(s float64) float64 { return depth * math.Sin(2*math.Pi*5*s) }, plucked)
			take := analyze(t, x, detect.Options{})
			if (take.Reading == nil) != (depth > 0) {
				t.Errorf("%g Hz, %g cents: reading %v, doubts %v", hz, depth, take.Reading, codes(take))
			}
			wantCovered(t, hz, take, hz)
		}
	}
}

// TestVoiceIsRefused: a voice swells, and its pitch does as it likes.
func TestVoiceIsRefused(t *testing.T) {
	t.Parallel()
	for _, hz := range []float64{113.7, 285} {
		x := movedString(hz, 0, func(s float64) float64 { return 15 * math.Sin(2*math.Pi*0.7*s) * math.Exp(-s) }, func(n int, f, s float64) float64 {
			return plucked(n, f, s) * min(1, s/0.15)
		})
		if take := analyze(t, x, detect.Options{}); take.Reading != nil {
			t.Errorf("%g Hz: read %.2f Hz", hz, take.Reading.F0.V)
		}
	}
}

// TestFadedToneIsRefused: an organ's note dies as it is turned down, all partials as
// one. A string with the same partials at the same level is read, muted or not.
func TestFadedToneIsRefused(t *testing.T) {
	t.Parallel()
	level := func(n int) float64 { return 0.2 / float64(n) }
	for i, hz := range []float64{47.5, 271, 484.6} {
		for what, fade := range map[string]func(s float64) float64{
			"exponential":      func(s float64) float64 { return math.Exp(-1.1 * s) },
			"linear":           func(s float64) float64 { return max(0, 1-s/2) },
			"held, then faded": func(s float64) float64 { return math.Exp(-max(0, s-0.8) / 0.5) },
		} {
			x := movedString(hz, 0, func(float64) float64 { return 0 }, func(n int, _, s float64) float64 { return level(n) * fade(s) })
			if take := analyze(t, x, detect.Options{}); take.Reading != nil {
				t.Errorf("%s, %g Hz: read", what, hz)
			}
		}
		for _, mute := range []float64{0.5, 8}[i%2:] {
			x := movedString(hz, 2e-5, func(float64) float64 { return 0 }, func(n int, f, s float64) float64 {
				return level(n) * math.Exp(-(mute+2*f*f/1e6)*s)
			})
			take := analyze(t, x, detect.Options{})
			if take.Reading == nil {
				t.Errorf("a string of %g Hz that loses %g a second: refused, %v", hz, mute, codes(take))
			}
			wantCovered(t, hz, take, hz)
		}
	}
}

// TestHumOnPartials: hum at the very place of partials moves the reading by no more
// than it says, and is not taken for a partial.
func TestHumOnPartials(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ hz, cents, mains, db float64 }{
		{300, -3.4, 50, -4}, {50, 12, 50, -10}, {240, 4.5, 60, -9}, {60, 8.2, 60, -15},
	} {
		hz := c.hz * math.Exp2(c.cents/1200)
		tk := ringing(hz)
		tk.MaxPartials = 0
		tk.Hum = synth.Hum{Freq: c.mains, Level: tk.Level + c.db, Harmonics: 12}
		take := analyze(t, render(t, tk), detect.Options{})
		if take.Reading == nil {
			t.Errorf("%v: refused, %v", c, codes(take))
			continue
		}
		wantCovered(t, c, take, hz)
		if e, u := off(take.Reading.F0, hz); math.Abs(e) > 3 || u > 3 {
			t.Errorf("%v: %+.2f cents off, u %.2f", c, e, u)
		}
	}
}

// TestHeldToneIsRefused: a tone that is held and then let go within the window is no
// string's, though a fit that spreads its end over the whole has it die.
func TestHeldToneIsRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ hz, rise, held float64 }{{519, 0.01, 2}, {470.7, 0.03, 2.4}, {146, 0.08, 2}} {
		x := movedString(c.hz, 0, func(float64) float64 { return 0 }, func(n int, _, s float64) float64 {
			settles := 1 + 0.4*math.Sin(float64(5*n))*math.Exp(-s/0.2) // as in a room
			return 0.1 * math.Pow(float64(n), -0.7) * (1 - math.Exp(-s/c.rise)) * settles * math.Exp(-max(0, s-c.held)/0.15)
		})
		take := analyze(t, x, detect.Options{})
		if take.Reading != nil {
			t.Errorf("%v: read %.2f Hz", c, take.Reading.F0.V)
		}
	}
}

// TestLateReleaseIsRefused: a bend let go when the string has died away a good part is
// seen all the same, and is not taken for a second direction of vibration.
func TestLateReleaseIsRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ hz, depth, after, secs float64 }{
		{184.7, 26, 0.88, 0.16}, {99.96, 21, 0.9, 0.46}, {130.8, 15, 0.7, 0.2},
	} {
		x := movedString(c.hz, 8e-5, func(s float64) float64 {
			return c.depth * min(1, max(0, 1-(s-c.after)/c.secs))
		}, plucked)
		take := analyze(t, x, detect.Options{})
		if take.Reading != nil {
			e, u := off(take.Reading.F0, c.hz)
			t.Errorf("%v: read %+.2f cents off, u %.2f", c, e, u)
		}
	}
}
