package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/synth"
	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// tunings are what simulated instruments are tuned to. Strings of one note are alike.
var tunings = map[string]string{
	"fourths":        "G2 D2 A1 E1",
	"five":           "G2 D2 A1 E1 B0",
	"six":            "E4 B3 G3 D3 A2 E2",
	"seven":          "E4 B3 G3 D3 A2 E2 B1",
	"open":           "D4 A3 F#3 D3 A2 D2",
	"re-entrant":     "A4 E4 C4 G4",
	"fifths":         "E5 A4 D4 G3",
	"unison courses": "E5 E5 A4 A4 D4 D4 G3 G3",
	"octave courses": "E4 E4 B3 B3 G4 G3 D4 D3 A3 A2 E3 E2",
	"scale":          "D4 E4 F#4 G4 A4 B4 C#5 D5 E5 F#5",
}

// A simulated instrument, and what is true of it.
type simulated struct {
	tuning  string
	notes   []string
	pitches []physics.Frequency // that it should have
	strings []synth.String
	lengths []float64 // m, as measured
	weights []float64 // kg/m, as known
	random  *rand.Rand
}

const (
	uWeight = 0.004 // relative, of what is known of each string
	uLength = 0.0005
)

func simulate(seed uint64) *simulated {
	random := rand.New(rand.NewPCG(seed, 77))
	names := slices.Sorted(maps.Keys(tunings))
	s := &simulated{tuning: names[random.IntN(len(names))], random: random}
	s.notes = strings.Fields(tunings[s.tuning])
	fan := 0.0
	if random.IntN(3) == 0 {
		fan = 0.1 * random.Float64() // multi-scale
	}
	like := map[string]int{}
	for i, name := range s.notes {
		n, err := physics.ParseNote(name)
		if err != nil {
			panic(err)
		}
		hz, err := n.Frequency(440)
		if err != nil {
			panic(err)
		}
		s.pitches = append(s.pitches, hz)
		str := synth.FromPitch(float64(hz), math.Exp(math.Log(1.5e-5)+random.Float64()*math.Log(10)))
		str.Length *= 1 + fan*float64(i)/float64(len(s.notes))
		pull := str.Tension * math.Exp(0.2*random.NormFloat64())
		weight := pull / (4 * str.Length * str.Length * float64(hz) * float64(hz))
		stiff := str.Stiffness
		known := weight * (1 + uWeight*random.NormFloat64())
		measured := str.Length * (1 + uLength*random.NormFloat64())
		if j, twin := like[name]; twin {
			str.Length, weight, stiff, known, measured = s.strings[j].Length, s.strings[j].UnitWeight, s.strings[j].Stiffness, s.weights[j], s.lengths[j]
		}
		like[name] = i
		off := 200*random.Float64() - 100
		f := float64(hz) * math.Exp2(off/1200)
		str.UnitWeight, str.Stiffness = weight, stiff
		str.Tension = 4 * weight * str.Length * str.Length * f * f
		str.Decay.Base *= 0.7 + 0.8*random.Float64()
		str.Second = synth.Polarization{Share: 0.3 * random.Float64(), Cents: 0.6 * random.NormFloat64(), Decay: 1.3}
		s.strings = append(s.strings, str)
		s.weights, s.lengths = append(s.weights, known), append(s.lengths, measured)
	}
	return s
}

// pluck is a take of one string, with noise of 20 dB and all others ringing along.
func (s *simulated) pluck(i int) ([]float64, error) { return s.render(i, s.alongside) }

// alongside is a string that rings along.
func (s *simulated) alongside(i int) synth.Neighbor {
	return synth.Neighbor{String: s.strings[i], Level: -45 + 15*s.random.Float64(), Pluck: synth.Pluck{At: 0.3, Height: 0.001, Point: 0.2, Width: 0.05}}
}

func (s *simulated) render(i int, other func(int) synth.Neighbor) ([]float64, error) {
	r := s.random
	p := synth.Pluck{At: 0.3, Height: 0.001, Point: 0.12 + 0.2*r.Float64(), Width: 0.008, GlideCents: 6 * r.Float64()}
	t := synth.Take{String: s.strings[i], Plucks: []synth.Pluck{p}, Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.08 + 0.06*r.Float64()},
		Rate: 48000, Seconds: 2.3, Level: -12, Seed: r.Uint64(), Noise: []synth.Noise{{DB: 20}}}
	for j := range s.strings {
		if j != i {
			t.Neighbors = append(t.Neighbors, other(j))
		}
	}
	x, _, err := t.Render()
	return x, err
}

// keep puts the instrument and its strings into a stock.
func (s *simulated) keep(ctx context.Context, file string) error { return s.keepAs(ctx, file, "it") }

func (s *simulated) keepAs(ctx context.Context, file, as string) error {
	st, err := stock.Open(ctx, file)
	if err != nil {
		return err
	}
	defer st.Close()
	x := stock.Instrument{Name: as, A4: 440}
	for i, name := range s.notes {
		n, _ := physics.ParseNote(name)
		of := "for " + name
		if _, err := st.String(ctx, of); err != nil {
			k := stock.String{String: traits.String{Name: of, Left: traits.Uncounted}}
			k.Measurements = []stock.Measurement{stock.Measure(physics.Stated(physics.UnitWeight(s.weights[i]), physics.UnitWeight(s.weights[i]*uWeight)), "simulated", time.Time{}, "")}
			if err := st.Add(ctx, k); err != nil {
				return err
			}
		}
		x.Positions = append(x.Positions, stock.Position{Note: n, Strung: of, Length: physics.Stated(physics.Length(s.lengths[i]), physics.Length(s.lengths[i]*uLength))})
	}
	return st.AddInstrument(ctx, x)
}

// writeTake leaves samples in a file.
func writeTake(name string, rate float64, x []float64) error {
	w, err := audio.Create(name, rate)
	if err == nil {
		err = w.Write(x)
	}
	if err == nil {
		err = w.Close()
	}
	return err
}

// A surveyScore counts what came of simulated surveys.
type surveyScore struct {
	strings, told, wrong, open, first int
	good                              int // of those told by one pluck
	foundIn, atIn, pitchIn            int
	refused                           map[string]int // plucks, by why
	left                              map[string]int // strings, by how the instrument is tuned
}

func (s *surveyScore) survey(t *testing.T, seed uint64) {
	ctx, dir := t.Context(), t.TempDir()
	it := simulate(seed)
	file := filepath.Join(dir, "s.db")
	if err := it.keep(ctx, file); err != nil {
		t.Fatal(err)
	}
	var answer struct {
		Strings []struct {
			How      string
			Plucks   int
			Good     bool
			F0       *float64 `json:"f0_hz"`
			UF0      float64  `json:"u_f0_hz"`
			Pull, U  float64
			Newton   *float64 `json:"tension_newton"`
			UNewton  float64  `json:"u_tension_newton"`
			AtPitch  float64  `json:"at_pitch_newton"`
			UAtPitch float64  `json:"u_at_pitch_newton"`
		}
	}
	todo := it.random.Perm(len(it.strings))
	for round := 0; round < 3 && len(todo) > 0; round++ {
		args := []string{"survey", "it", "--json", "--stock", file, "--session", "s", "--ends", "pinned"}
		for _, i := range todo {
			x, err := it.pluck(i)
			if err != nil {
				t.Fatal(err)
			}
			name := filepath.Join(dir, fmt.Sprintf("%d-%d.wav", round, i))
			if err := writeTake(name, 48000, x); err != nil {
				t.Fatal(err)
			}
			args = append(args, name)
		}
		var out, errs bytes.Buffer
		err := run(ctx, args, nil, &out, &errs)
		if c := exitCode(err); c != codeDone && c != codeUntrusted {
			t.Fatalf("survey %d: %v\n%s", seed, err, errs.String())
		}
		lines := strings.Split(strings.TrimSpace(out.String()), "\n")
		if json.Unmarshal([]byte(lines[len(lines)-1]), &answer) != nil || len(answer.Strings) == 0 {
			continue // nothing was heard that can be trusted
		}
		for _, line := range lines[:len(lines)-1] {
			s.count(line)
		}
		var again []int
		for _, i := range todo {
			if answer.Strings[i].F0 == nil {
				again = append(again, i)
			}
		}
		if round == 0 {
			s.first += len(todo) - len(again)
		}
		todo = again
	}
	s.strings += len(it.strings)
	for i, a := range answer.Strings {
		if a.F0 == nil {
			s.open++
			s.left[it.tuning]++
			continue
		}
		s.told++
		if a.Plucks == 1 && a.Good {
			s.good++
		}
		// Of those that are alike, that which is nearest.
		best := i
		off := func(j int) float64 {
			return math.Abs(physics.CentsBetween(physics.Frequency(it.strings[j].F0()), physics.Frequency(*a.F0)))
		}
		for j := range it.strings {
			if it.notes[j] == it.notes[i] && off(j) < off(best) {
				best = j
			}
		}
		if off(best) > 5 {
			s.wrong++
			t.Errorf("survey %d (%s): position %d %s is told %.3f Hz by %s, and has %.3f Hz", seed, it.tuning, i+1, it.notes[i], *a.F0, a.How, it.strings[i].F0())
			continue
		}
		truth := it.strings[best]
		if math.Abs(*a.F0-truth.F0()) <= 2*a.UF0 {
			s.pitchIn++
		}
		if a.Newton == nil {
			t.Errorf("survey %d: no pull of position %d", seed, i+1)
			continue
		}
		if math.Abs(*a.Newton-truth.Tension) <= 2*a.UNewton {
			s.foundIn++
		}
		f := float64(it.pitches[i])
		b := truth.B() * truth.F0() * truth.F0() / (f * f)
		at := physics.TensionOf(physics.UnitWeight(truth.UnitWeight), physics.Length(truth.Length), it.pitches[i])
		if math.Abs(a.AtPitch-float64(at)/(1+b)) <= 2*a.UAtPitch {
			s.atIn++
		}
	}
}

// count counts why a take has no pluck that can be trusted.
func (s *surveyScore) count(line string) {
	var take struct {
		Plucks []struct {
			Trusted bool
			Doubts  []struct{ Code string }
		}
	}
	if json.Unmarshal([]byte(line), &take) != nil || slices.ContainsFunc(take.Plucks, func(p struct {
		Trusted bool
		Doubts  []struct{ Code string }
	}) bool {
		return p.Trusted
	}) {
		return
	}
	if len(take.Plucks) == 0 {
		s.refused["no pluck"]++
	}
	for _, p := range take.Plucks {
		for _, d := range p.Doubts {
			s.refused[d.Code]++
		}
	}
}
