package course_test

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect/course"
	"pluckweigh/detect/detecttest"
)

// takes is how many are tried: PLUCKWEIGH_TAKES or so many.
func takes(n int) int {
	if v, err := strconv.Atoi(os.Getenv("PLUCKWEIGH_TAKES")); err == nil {
		return v
	}
	return n
}

func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func someString(r *rand.Rand, f float64) synth.String {
	s := synth.FromPitch(f, math.Exp(between(r, math.Log(1.5e-5), math.Log(1.5e-4))))
	s.Second = synth.Polarization{Share: 0.3 * r.Float64(), Cents: 0.6 * r.NormFloat64(), Decay: 1.3}
	s.Decay.Base *= between(r, 0.7, 1.5)
	return s
}

// A strung course is two strings, and what rings along.
type strung struct {
	notes     [2]float64
	low, high synth.String
	random    *rand.Rand
}

// newStrung strings a course of one note or of an octave, its strings out of tune and at
// least 11 cents apart or off the octave.
func newStrung(seed uint64, octave bool) strung {
	r := rand.New(rand.NewPCG(seed, 11))
	s := strung{random: r}
	f := 80 * math.Exp2(between(r, 0, 2.6))
	s.notes = [2]float64{f, f}
	if octave {
		s.notes[1] *= 2
	}
	off, d := between(r, -90, 90), 11*math.Exp(between(r, 0, math.Log(8)))
	if off > 0 {
		d = -d
	}
	s.low, s.high = someString(r, s.notes[0]*math.Exp2(off/1200)), someString(r, s.notes[1]*math.Exp2((off+d)/1200))
	if !octave && s.low.F0() > s.high.F0() {
		s.low, s.high = s.high, s.low
	}
	return s
}

// play is the sound of the first string, and of the second at a level over it, dB, at 20 dB
// over noise, with others ringing along.
func (s strung) play(t *testing.T, first, second synth.String, level float64) []float64 {
	r := s.random
	pluck := func() synth.Pluck {
		return synth.Pluck{At: 0.3 + 0.02*r.Float64(), Height: 0.001, Point: between(r, 0.12, 0.32), Width: 0.008, GlideCents: 6 * r.Float64()}
	}
	p := pluck()
	p.At = 0.3
	take := synth.Take{String: first, Plucks: []synth.Pluck{p}, Pickup: synth.Pickup{Senses: synth.Velocity, At: between(r, 0.08, 0.14)},
		Rate: 48000, Seconds: 2.3, Level: -12, Seed: r.Uint64(), Noise: []synth.Noise{{DB: 20}}}
	if level > -200 {
		take.Neighbors = append(take.Neighbors, synth.Neighbor{String: second, Level: level, Pluck: pluck()})
	}
	for range 4 {
		o := someString(r, s.notes[0]*math.Exp2(between(r, -20, 20)/12))
		take.Neighbors = append(take.Neighbors, synth.Neighbor{String: o, Level: between(r, -45, -30), Pluck: synth.Pluck{At: 0.3, Height: 0.001, Point: 0.2, Width: 0.05}})
	}
	x, _, err := take.Render()
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// Both strings of a course that are plucked together are heard within what is said of
// them; one that is plucked alone, its neighbour ringing along or damped, is never two.
func TestCoursesPluckedTogether(t *testing.T) {
	for _, octave := range []bool{false, true} {
		n := takes(2)
		parted, values, in := 0, 0, 0
		for seed := range n {
			s := newStrung(uint64(seed), octave)
			hear := func(x []float64) (course.Pair, bool) { return course.Part(x, 48000, 0.3, 2.3, s.notes, 100) }
			p, ok := hear(s.play(t, s.low, s.high, between(s.random, -6, 6)))
			if ok {
				parted++
				for _, v := range []struct {
					is   synth.String
					told course.String
				}{{s.low, p.Low}, {s.high, p.High}} {
					values++
					z := math.Abs(v.told.F0.V-v.is.F0()) / v.told.F0.U
					if z <= 2 {
						in++
					}
					if z > 5 || v.told.F0.U > 1e-3*v.told.F0.V {
						t.Errorf("octave %v, %d: told %.4f ± %.4f Hz, and it has %.4f", octave, seed, v.told.F0.V, v.told.F0.U, v.is.F0())
					}
				}
			}
			level := -300.0
			if seed%2 == 1 {
				level = between(s.random, -45, -30)
			}
			for k, x := range [][]float64{s.play(t, s.low, s.high, level), s.play(t, s.high, s.low, level)} {
				if p, ok := hear(x); ok {
					t.Errorf("octave %v, %d: string %d alone is told as two: %+v", octave, seed, k, p)
				}
			}
		}
		t.Logf("octave %v: %d of %d parted; f0 within 2u in %d of %d", octave, parted, n, in, values)
		if 10*parted < 8*n || float64(in) < 0.95*float64(values)-3*math.Sqrt(0.05*float64(values)) {
			t.Errorf("octave %v: %d of %d parted, %d of %d values within 2u", octave, parted, n, in, values)
		}
	}
}

// Sounds that have no two strings, or nothing at all, are none.
func TestNothingToPart(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	noise, silence, dc := make([]float64, 96000), make([]float64, 96000), make([]float64, 96000)
	for i := range noise {
		noise[i], dc[i] = 0.1*r.NormFloat64(), 0.5
	}
	for name, x := range map[string][]float64{"noise": noise, "silence": silence, "dc": dc, "short": noise[:20000], "nothing": nil} {
		for _, notes := range [][2]float64{{110, 110}, {55, 110}, {8, 8}, {0, 0}, {5000, 10000}} {
			if p, ok := course.Part(x, 48000, 0.1, float64(len(x))/48000, notes, 100); ok {
				t.Errorf("%s, %v: %+v", name, notes, p)
			}
		}
	}
}

// Recorded notes (Debian's package fluid-soundfont-gm) of one string are not two; one
// played with itself at another speed is, as far apart as that.
func TestRecordedNotesPlayedTogether(t *testing.T) {
	notes, err := detecttest.Notes()
	detecttest.Need(t, err)
	step := 30
	if os.Getenv("PLUCKWEIGH_TAKES") != "" {
		step = 1
	}
	alone, pairs, parted, in := 0, 0, 0, 0
	for i := 0; i < len(notes); i += step {
		n := notes[i]
		both := [2]float64{n.Hz, n.Hz}
		seconds := float64(len(n.Samples)) / n.Rate
		if n.Name == "Banjo 1" || seconds < 1.2 {
			continue // two strings ring in it; too short
		}
		alone++
		for _, up := range []float64{1, 2} {
			if p, ok := course.Part(n.Samples, n.Rate, 0.02, seconds, [2]float64{n.Hz, n.Hz * up}, 60); ok {
				t.Errorf("%s is told as two, %g: %+v", n.Name, up, p)
			}
		}
		for _, d := range []float64{15, 40} {
			pairs++
			x := n.Samples
			y := make([]float64, len(x))
			by := math.Exp2(d / 1200)
			for k := range y {
				at := float64(k) * by
				j := int(at)
				if j < 1 || j+2 >= len(x) {
					continue
				}
				// Cubic interpolation (Catmull and Rom).
				f := at - float64(j)
				a, b, c, e := x[j-1], x[j], x[j+1], x[j+2]
				y[k] = x[k] + b + f/2*(c-a+f*(2*a-5*b+4*c-e+f*(3*(b-c)+e-a)))
			}
			p, ok := course.Part(y, n.Rate, 0.02, seconds/by, both, 60)
			if !ok {
				continue
			}
			parted++
			if off := math.Abs(p.Split.V - d); off <= 2*p.Split.U {
				in++
			} else if off > 1.5 {
				t.Errorf("%s, %g cents apart, is told as %.2f ± %.2f", n.Name, d, p.Split.V, p.Split.U)
			}
		}
	}
	t.Logf("%d notes alone; of %d pairs %d parted, %d within 2u", alone, pairs, parted, in)
	if 6*parted < pairs-4 {
		t.Errorf("%d of %d pairs parted", parted, pairs)
	}
}
