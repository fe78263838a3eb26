package main

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"pluckweigh/audio"
	"pluckweigh/audio/synth"
)

// settings reads arguments like name=number.
type settings map[string]float64

func newSettings(ts *testscript.TestScript, args []string) settings {
	s := settings{}
	for _, a := range args {
		name, text, _ := strings.Cut(a, "=")
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			ts.Fatalf("%q is not name=number", a)
		}
		s[name] = v
	}
	return s
}

// take is the value of a setting, which is then used up.
func (s settings) take(name string, otherwise float64) float64 {
	v, ok := s[name]
	delete(s, name)
	if ok {
		return v
	}
	return otherwise
}

// done refuses settings that nobody has taken.
func (s settings) done(ts *testscript.TestScript) {
	for name := range s {
		ts.Fatalf("unknown setting %q", name)
	}
}

// scriptSynth renders a synthetic string: synth FILE [name=number...].
func scriptSynth(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: synth FILE [name=number...]")
	}
	s := newSettings(ts, args[1:])
	str := synth.FromPitch(s.take("f0", 55), s.take("b", 6e-5))
	str.Length = s.take("length", str.Length)
	str.Tension = s.take("tension", str.Tension)
	str.UnitWeight = s.take("unitweight", str.UnitWeight)
	str.Decay.Base = s.take("decay", str.Decay.Base)
	str.Clip = synth.Clip{Mass: s.take("mass", 0), At: s.take("clipat", 0.5)}
	take := synth.Take{
		String:  str,
		Pickup:  synth.Pickup{Senses: synth.Velocity, At: 0.11},
		Rate:    s.take("rate", 48000),
		Seconds: s.take("seconds", 1.8),
		Level:   s.take("level", -9),
		Clip:    s.take("clip", 0),
		Damp:    s.take("damp", 0),
		Ramp:    s.take("ramp", 0),
		Bits:    int(s.take("bits", 0)),
		Seed:    uint64(s.take("seed", 1)),
	}
	take.Noise = []synth.Noise{{Color: synth.White, DB: s.take("snr", 35)}}
	at, gap := s.take("at", 0.4), s.take("gap", 2)
	for i := range int(s.take("plucks", 1)) {
		take.Plucks = append(take.Plucks, synth.Pluck{At: at + float64(i)*gap, Height: 0.001, Point: 0.17, Width: 0.01})
	}
	if f := s.take("other", 0); f > 0 {
		take.Neighbors = []synth.Neighbor{{String: synth.FromPitch(f, 5e-5), Pluck: synth.Pluck{At: at, Height: 0.001, Point: 0.2, Width: 0.01}}}
	}
	s.done(ts)
	x, _, err := take.Render()
	ts.Check(err)
	w, err := audio.Create(ts.MkAbs(args[0]), take.Rate)
	ts.Check(err)
	ts.Check(w.Write(x))
	ts.Check(w.Close())
}

// scriptSound writes what is no string: sound FILE KIND [name=number...].
func scriptSound(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: sound FILE silence|dc|noise|hum|tone|nan|inf [name=number...]")
	}
	s := newSettings(ts, args[2:])
	rate, level, hz := s.take("rate", 48000), s.take("level", 0.1), s.take("hz", 50)
	x := make([]float32, int(s.take("seconds", 2)*rate))
	s.done(ts)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range x {
		switch args[1] {
		case "silence":
		case "dc":
			x[i] = float32(level)
		case "noise":
			x[i] = float32(level * random.NormFloat64())
		case "hum":
			t := 2 * math.Pi * hz * float64(i) / rate
			x[i] = float32(level * (math.Sin(t) + 0.5*math.Sin(2*t) + 0.3*math.Sin(3*t)))
		case "tone":
			x[i] = float32(level*math.Sin(2*math.Pi*hz*float64(i)/rate) + 0.001*random.NormFloat64())
		case "nan":
			x[i] = float32(math.NaN())
		case "inf":
			x[i] = float32(math.Inf(1))
		default:
			ts.Fatalf("unknown sound %q", args[1])
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), floatWAV(uint32(rate), x), 0o666))
}

// floatWAV is a plain WAV file of one channel of 32-bit floating point.
func floatWAV(rate uint32, x []float32) []byte {
	le := binary.LittleEndian
	b := []byte("RIFF")
	b = le.AppendUint32(b, uint32(36+4*len(x)))
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 3) // floating point
	b = le.AppendUint16(b, 1)
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, 4*rate)
	b = le.AppendUint16(b, 4)
	b = le.AppendUint16(b, 32)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(4*len(x)))
	for _, v := range x {
		b = le.AppendUint32(b, math.Float32bits(v))
	}
	return b
}
