package detect_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
)

const rate = 48000

// bass is a plain take of a bass A string, a little noise behind it.
func bass() synth.Take {
	return synth.Take{
		String: synth.FromPitch(55, 6e-5), Rate: rate, Seconds: 3,
		Plucks: []synth.Pluck{{At: 0.4, Height: 1e-3, Point: 0.17, Width: 2e-3}},
		Pickup: synth.Pickup{At: 0.11}, Level: -6,
		Noise: []synth.Noise{{DB: 40}}, Seed: 1,
	}
}

func render(t *testing.T, tk synth.Take) []float64 {
	t.Helper()
	x, _, err := tk.Render()
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func analyze(t *testing.T, x []float64, o detect.Options) detect.Take {
	t.Helper()
	take, err := detect.Analyze(x, rate, o)
	if err != nil {
		t.Fatal(err)
	}
	return take
}

// codes lists every doubt of a take.
func codes(take detect.Take) []detect.Code {
	var out []detect.Code
	for _, d := range take.Doubts {
		out = append(out, d.Code)
	}
	for _, p := range take.Plucks {
		for _, d := range p.Doubts {
			out = append(out, d.Code)
		}
	}
	return out
}

func tone(hz, seconds, level float64) []float64 {
	x := make([]float64, int(seconds*rate))
	for i := range x {
		x[i] = level * math.Sin(2*math.Pi*hz*float64(i)/rate)
	}
	return x
}

func TestNoNumberWhereNothingCanBeTrusted(t *testing.T) {
	noise := func(level float64) []float64 {
		r := rand.New(rand.NewPCG(3, 4))
		x := make([]float64, 3*rate)
		for i := range x {
			x[i] = level * r.NormFloat64()
		}
		return x
	}
	second := synth.FromPitch(73.5, 7e-5)
	tests := []struct {
		name string
		x    func(t *testing.T) []float64
		want []detect.Code // one of these
	}{
		{"nothing", func(*testing.T) []float64 { return nil }, []detect.Code{detect.NothingHeard}},
		{"less than a frame", func(*testing.T) []float64 { return tone(440, 0.04, 0.5) }, []detect.Code{detect.NothingHeard, detect.TooShort}},
		{"silence", func(*testing.T) []float64 { return make([]float64, 2*rate) }, []detect.Code{detect.NothingHeard}},
		{"a constant", func(*testing.T) []float64 { return slices.Repeat([]float64{0.3}, 2*rate) }, []detect.Code{detect.NothingHeard}},
		{"noise", func(*testing.T) []float64 { return noise(0.1) }, []detect.Code{detect.NothingHeard, detect.NotAString, detect.TooQuiet}},
		{"a hum", func(*testing.T) []float64 {
			x := noise(1e-4)
			for k := 1.0; k <= 8; k++ {
				for i, v := range tone(50*k, 3, 0.2/k) {
					x[i] += v
				}
			}
			return x
		}, []detect.Code{detect.NothingHeard, detect.NotAString, detect.Hum}},
		{"a steady tone that starts", func(*testing.T) []float64 {
			x := noise(1e-4)
			for k := 1.0; k <= 8; k++ {
				for i, v := range tone(110*k, 2.5, 0.2/k) {
					x[rate/2+i] += v
				}
			}
			return x
		}, []detect.Code{detect.NotAString}},
		{"fifty milliseconds", func(t *testing.T) []float64 { return render(t, bass())[int(0.4*rate):int(0.45*rate)] },
			[]detect.Code{detect.TooShort, detect.NothingHeard}},
		{"a pluck damped at once", func(t *testing.T) []float64 {
			tk := bass()
			tk.Damp = 0.45
			return render(t, tk)
		}, []detect.Code{detect.TooShort, detect.TooQuiet}},
		{"clipped", func(t *testing.T) []float64 {
			tk := bass()
			tk.Level, tk.Clip = 0, 0.1
			return render(t, tk)
		}, []detect.Code{detect.Clipped}},
		{"two strings", func(t *testing.T) []float64 {
			tk := bass()
			tk.Neighbors = []synth.Neighbor{{String: second, Pluck: tk.Plucks[0], Level: -3}}
			return render(t, tk)
		}, []detect.Code{detect.TwoStrings}},
		{"two strings one after the other", func(t *testing.T) []float64 {
			other := bass()
			other.String = second
			return append(render(t, bass()), render(t, other)...)
		}, []detect.Code{detect.Scatter}},
		{"a bell", func(*testing.T) []float64 {
			x := noise(1e-4)
			// Partials of a church bell by their names: hum, prime, tierce, quint,
			// nominal, and the next (ratios from memory).
			for j, r := range []float64{0.5, 1, 1.2, 1.5, 2, 2.67, 3.01, 4.17} {
				for i := range 2 * rate {
					s := float64(i) / rate
					x[rate/2+i] += 0.1 / float64(j+1) * math.Exp(-1.5*r*s) * math.Sin(2*math.Pi*220*r*s)
				}
			}
			return x
		}, []detect.Code{detect.NotAString, detect.OctaveOpen, detect.TwoStrings, detect.Misfit}},
		{"one partial alone", func(*testing.T) []float64 {
			x := noise(1e-4)
			for i := range 2 * rate {
				s := float64(i) / rate
				x[rate/2+i] += 0.3 * math.Exp(-1.5*s) * math.Sin(2*math.Pi*196*s)
			}
			return x
		}, []detect.Code{detect.OctaveOpen}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			take := analyze(t, tt.x(t), detect.Options{})
			if take.Reading != nil {
				t.Errorf("read %.3f Hz, doubts %v", take.Reading.F0.V, codes(take))
			}
			if !slices.ContainsFunc(codes(take), func(c detect.Code) bool { return slices.Contains(tt.want, c) }) {
				t.Errorf("doubts %v, want one of %v", codes(take), tt.want)
			}
		})
	}
}

// ringing is a take of one string of fundamental hz, heard for two seconds.
func ringing(hz float64) synth.Take {
	return synth.Take{
		String: synth.FromPitch(hz, 6e-5), Rate: rate, Seconds: 2.4, MaxPartials: 8,
		Plucks: []synth.Pluck{{At: 0.3, Height: 1e-3, Point: 0.17, Width: 2e-3}},
		Pickup: synth.Pickup{At: 0.11}, Level: -6,
		Noise: []synth.Noise{{DB: 40}}, Seed: 2,
	}
}

// off is how far a value lies from hz, and its standard uncertainty, in cents.
func off(v detect.Value, hz float64) (err, u float64) {
	return 1200 * math.Log2(v.V/hz), 1200 / math.Ln2 * v.U / v.V
}

// together is a take of a string and another, so many semitones above and dB over it.
func together(hz, semitones, db float64) synth.Take {
	tk := ringing(hz)
	tk.MaxPartials, tk.Level = 0, -9
	tk.Neighbors = []synth.Neighbor{{
		String: synth.FromPitch(hz*math.Exp2(semitones/12), 1e-4),
		Pluck:  synth.Pluck{At: 0.31, Height: 1e-3, Point: 0.23, Width: 2e-3},
		Level:  db,
	}}
	return tk
}

// wantRefused asks for no reading of a take, near hz, and for a doubt.
func wantRefused(t *testing.T, what any, hz float64, tk synth.Take, code detect.Code) {
	t.Helper()
	take := analyze(t, render(t, tk), detect.Options{})
	if take.Reading != nil {
		e, u := off(take.Reading.F0, hz)
		t.Errorf("%v: read %+.2f cents off, u %.2f", what, e, u)
	}
	if !slices.Contains(codes(take), code) {
		t.Errorf("%v: doubts %v", what, codes(take))
	}
}

// TestTwoStringsAreRefused: a chord is nobody's pitch, also where the upper string's
// partials all lie beside the lower's.
func TestTwoStringsAreRefused(t *testing.T) {
	for _, c := range []struct{ hz, semitones, db float64 }{
		{55, 5, 0},
		{82.4, 7, -6},
		{110, 4, 0},
		{110, -5, -6},
		{165, 3, -6},
		{247, 7, 0},
		// Octaves and twelfths, some cents out of tune.
		{55, 11.92, 0},
		{82.4, 12.15, -6},
		{110, 11.96, 0},
		{247, 12.15, 0},
		{55, 18.94, 0},
		{110, 19.17, -6},
		{165, 18.94, 0},
	} {
		wantRefused(t, c, c.hz, together(c.hz, c.semitones, c.db), detect.TwoStrings)
	}
}

// TestFaintStringIsRemarked: a string that rings along too softly to disturb is told
// of beside a right number, and none is told of where one string rings alone.
func TestFaintStringIsRemarked(t *testing.T) {
	for _, c := range []struct{ hz, semitones, db float64 }{
		{55, 5, -20},
		{110, 4, -26},
		{110, -5, -22},
		{247, 7, -20},
	} {
		both := together(c.hz, c.semitones, c.db)
		alone := both
		alone.Neighbors = nil
		for _, tk := range []synth.Take{alone, both} {
			take := analyze(t, render(t, tk), detect.Options{})
			if take.Reading == nil {
				t.Errorf("%v: refused, %v", c, codes(take))
				continue
			}
			if e, u := off(take.Reading.F0, c.hz); math.Abs(e) > 4*u {
				t.Errorf("%v: read %+.3f cents off, u %.3f", c, e, u)
			}
			if told := slices.Contains(codes(take), detect.TwoStrings); told != (len(tk.Neighbors) > 0) {
				t.Errorf("%v with %d neighbours: doubts %v", c, len(tk.Neighbors), codes(take))
			}
		}
	}
}

// TestOctavesReadTheLower: of strings whose partials coincide, what is read is the
// lower, if anything: it has partials to itself, and the upper none.
func TestOctavesReadTheLower(t *testing.T) {
	for _, c := range []struct{ hz, semitones, db float64 }{
		{55, 12, 0},
		{82.4, 12, -6},
		{110, 12, 0},
		{110, 12.01, 0},
		{247, 12, 0},
		{55, 19, -6},
		{165, 19.01, 0},
		{247, 19, -6},
		{82.4, 24, 0},
		{165, 24, -6},
	} {
		take := analyze(t, render(t, together(c.hz, c.semitones, c.db)), detect.Options{})
		if take.Reading == nil {
			continue
		}
		if e, u := off(take.Reading.F0, c.hz); math.Abs(e) > 3*u {
			t.Errorf("%v: %+.2f cents off the lower, u %.2f", c, e, u)
		}
	}
}

// TestTooLowIsRefused: a string below the lowest that is listened for is not read as
// one twice or three times as high.
func TestTooLowIsRefused(t *testing.T) {
	for _, c := range []struct{ hz, point float64 }{{18.93, 0.18}, {14.2, 0.12}, {11.2, 0.48}, {9.6, 0.3}} {
		tk := ringing(c.hz)
		tk.Plucks[0].Point, tk.MaxPartials = c.point, 0
		if take := analyze(t, render(t, tk), detect.Options{}); take.Reading != nil {
			t.Errorf("%v: read %.4g Hz", c, take.Reading.F0.V)
		}
	}
}

// TestBrightLowStringIsRead: a low string may have more partials than are looked for,
// and those above are no other string's.
func TestBrightLowStringIsRead(t *testing.T) {
	for _, hz := range []float64{25.8, 36.7, 44.8, 61.5} {
		tk := bass()
		tk.String = synth.FromPitch(hz, 3e-6)
		tk.String.Decay.Rise = 0.05
		tk.Plucks[0].Point, tk.Plucks[0].Width, tk.Pickup.At = 0.02, 1e-4, 0.008
		tk.Noise[0].DB = 60
		take := analyze(t, render(t, tk), detect.Options{})
		if take.Reading == nil {
			t.Errorf("%g Hz: doubts %v", hz, codes(take))
		} else if e, u := off(take.Reading.F0, hz); math.Abs(e) > 0.01 {
			t.Errorf("%g Hz: %+.5f cents off, u %.5f", hz, e, u)
		}
	}
}

// TestBendLetGoIsRefused: a string that is held at another pitch for a while and then
// let go has no one pitch, also where it goes further than partials are followed.
func TestBendLetGoIsRefused(t *testing.T) {
	for _, c := range []struct{ hz, cents, held float64 }{
		{89, 97, 0.43},
		{196, 90, 0.5},
		{311, 93, 0.6},
		{311, -120, 0.6},
	} {
		// Both pitches sound as the string does; where one ends the other begins.
		bent, rest := ringing(c.hz*math.Exp2(c.cents/1200)), ringing(c.hz)
		x, y := render(t, bent), render(t, rest)
		at := int((bent.Plucks[0].At + c.held) * rate)
		const fade = rate / 5
		for i := range x {
			w := min(max(float64(i-at)/fade, 0), 1)
			x[i] = (1-w)*x[i] + w*y[i]
		}
		take := analyze(t, x, detect.Options{})
		if take.Reading != nil {
			e, u := off(take.Reading.F0, c.hz)
			t.Errorf("%v: read %+.2f cents from where it is at rest, u %.2f", c, e, u)
		}
		if !slices.Contains(codes(take), detect.Unsteady) {
			t.Errorf("%v: doubts %v", c, codes(take))
		}
	}
}
