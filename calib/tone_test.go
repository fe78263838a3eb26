package calib

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/physics"
)

// A sine is a tone of a test, its amplitude dying as exp(−decay·t).
type sine struct{ hz, amplitude, phase, decay float64 }

// sound is so many seconds of tones and white noise at a rate.
func sound(r *rand.Rand, rate, seconds, noise float64, tones ...sine) []float64 {
	x := make([]float64, int(rate*seconds))
	for i := range x {
		t := float64(i) / rate
		for _, s := range tones {
			x[i] += s.amplitude * math.Exp(-s.decay*t) * math.Sin(2*math.Pi*s.hz*t+s.phase)
		}
		x[i] += noise * r.NormFloat64()
	}
	return x
}

func hertz(f float64) physics.Measured[physics.Frequency] {
	return physics.Stated(physics.Frequency(f), physics.Frequency(f*1e-9))
}

// The error of a steady tone's frequency beside the bound of Rife & Boorstyn (1974)
// for one sinusoid in white noise, var f ≥ 6·fs²σ²/(π²A²N(N²−1)), and how often it is
// within 2u.
func TestToneReachesTheBound(t *testing.T) {
	const rate, seconds, runs = 8000.0, 5.0, 100
	for _, c := range []struct{ amplitude, noise float64 }{{0.3, 0.01}, {0.1, 0.3}} {
		r := rand.New(rand.NewPCG(7, 8))
		n := rate * seconds
		bound := math.Sqrt(6*rate*rate*c.noise*c.noise/(n*(n*n-1))) / (math.Pi * c.amplitude)
		var square, stated float64
		inside := 0
		for range runs {
			f := 430 + 20*r.Float64()
			if math.Abs(f-450) < 3 {
				f = 440
			}
			ppm := 400*r.Float64() - 200
			heard := f / (1 + ppm*1e-6)
			x := sound(r, rate, seconds, c.noise, sine{hz: heard, amplitude: c.amplitude, phase: 7 * r.Float64()})
			got, err := Tone(x, rate, hertz(f))
			if err != nil {
				t.Fatal(err)
			}
			e := (got.PPM - ppm) * 1e-6 * heard
			square += e * e / runs
			stated += got.U * 1e-6 * heard / runs
			if math.Abs(got.PPM-ppm) <= 2*got.U {
				inside++
			}
		}
		ratio, share := math.Sqrt(square)/bound, float64(inside)/runs
		t.Logf("amplitude %g in noise of %g: error %.3f of the bound, u %.3f of it, within 2u %.1f %%",
			c.amplitude, c.noise, ratio, stated/bound, 100*share)
		if ratio < 0.85 || ratio > 1.15 {
			t.Errorf("error is %.3f of the bound", ratio)
		}
		if share < 0.9 {
			t.Errorf("within 2u %.3f", share)
		}
	}
}

// A tone with harmonics, a little hum, an offset and rumble is one still.
func TestToneOfTheWorld(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	x := sound(r, 48000, 20, 0.01, sine{hz: 439.956, amplitude: 0.2}, sine{hz: 2 * 439.956, amplitude: 0.3},
		sine{hz: 3 * 439.956, amplitude: 0.1}, sine{hz: 50.02, amplitude: 0.015})
	for i := range x {
		x[i] += 0.2
	}
	got, err := Tone(x, 48000, physics.Stated[physics.Frequency](440, 0.0005))
	want := 1e6 * (440/439.956 - 1)
	if err != nil || math.Abs(got.PPM-want) > 0.5 {
		t.Errorf("%+v, %v, want %.2f ppm", got, err, want)
	}
	if got, err := Tone(x, 48000, physics.Stated[physics.Frequency](440, 0.05)); err == nil || got != (Clock{}) {
		t.Errorf("a tone known to 114 ppm: %+v", got)
	}
	if got.U < 1.1 || got.U > 1.3 {
		t.Errorf("u %.3f ppm: the tone's own is 1.14", got.U)
	}
	if !strings.Contains(got.Source, "440.00000 ± 0.00050 Hz") {
		t.Errorf("source %q", got.Source)
	}
}

func TestToneRefuses(t *testing.T) {
	const rate = 16000.0
	r := rand.New(rand.NewPCG(11, 12))
	make := func(tones ...sine) []float64 { return sound(r, rate, 8, 0.003, tones...) }
	one := sine{hz: 440.02, amplitude: 0.3}
	wow := make()
	for i := range wow {
		at := float64(i) / rate
		wow[i] += 0.3 * math.Sin(2*math.Pi*(440*at+0.4*math.Sin(2*math.Pi*0.5*at)))
	}
	broken := make(one)
	clear(broken[30000:50000])
	take := synth.Take{
		String: synth.FromPitch(440, 1e-4), Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.11},
		Plucks: []synth.Pluck{{At: 0.1, Height: 0.001, Point: 0.17, Width: 0.01}},
		Rate:   rate, Seconds: 8, Level: -9, Seed: 1, Noise: []synth.Noise{{DB: 40}},
	}
	str, _, err := take.Render()
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		x    []float64
		rate float64
		of   float64
		say  string
	}{
		"silence":                {sound(r, rate, 8, 0), rate, 440, "is not there"},
		"noise":                  {make(), rate, 440, "is not there"},
		"another tone":           {make(sine{hz: 445, amplitude: 0.3}), rate, 440, "loudest tone is at 445.0 Hz"},
		"hum alone":              {make(sine{hz: 50, amplitude: 0.3}, sine{hz: 150, amplitude: 0.2}), rate, 440, "loudest tone is at 50"},
		"hum as the reference":   {make(sine{hz: 50, amplitude: 0.3}), rate, 50, "could be the mains"},
		"beside hum":             {make(one, sine{hz: 100, amplitude: 0.1}), rate, 440, "is not alone"},
		"two tones":              {make(one, sine{hz: 443.5, amplitude: 0.3}), rate, 440, "is not alone"},
		"two tones, very close":  {make(one, sine{hz: 440.3, amplitude: 0.3}), rate, 440, "is not steady"},
		"a harmonic of it":       {make(one, sine{hz: 220.01, amplitude: 0.3}), rate, 440, "is not alone"},
		"dying away":             {make(sine{hz: 440, amplitude: 0.5, decay: 0.5}), rate, 440, "is not steady"},
		"a string":               {str, rate, 440, "is not"},
		"wow":                    {wow, rate, 440, "is not"},
		"interrupted":            {broken, rate, 440, "is not steady"},
		"short":                  {make(one)[:int(4*rate)], rate, 440, "is too short"},
		"beyond the sample rate": {make(one), rate, 23000, "beyond"},
		"no frequency":           {make(one), rate, math.NaN(), "beyond"},
		"no rate":                {make(one), math.NaN(), 440, "beyond"},
		"nothing":                {nil, rate, 440, "is too short"},
	} {
		got, err := Tone(c.x, c.rate, hertz(c.of))
		var input *physics.InputError
		if !errors.As(err, &input) || got != (Clock{}) || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}
