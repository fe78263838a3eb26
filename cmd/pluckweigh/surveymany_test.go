package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/physics"
)

// Instruments of 4 to 12 strings, each out of tune by up to a semitone, at 20 dB signal to
// noise and with the others ringing along: no string is taken for another, and pulls are
// within what is said of them.
func TestSurveysOfSimulatedInstruments(t *testing.T) {
	onceOnly(t)
	from, to := 1, 3
	if v := os.Getenv("PLUCKWEIGH_SURVEYS"); v != "" { // so many, or which: 401-500
		first, last, isRange := strings.Cut(v, "-")
		to, _ = strconv.Atoi(first)
		if isRange {
			from = to
			to, _ = strconv.Atoi(last)
		}
	}
	s := surveyScore{refused: map[string]int{}, left: map[string]int{}}
	for seed := from; seed <= to; seed++ {
		s.survey(t, uint64(seed))
	}
	part := func(of int) float64 { return 100 * float64(of) / float64(s.told) }
	t.Logf("%d surveys, %d strings: %d told (%d by one pluck, %d of them good), %d open, %d taken for another; within U: pull as found %d, %.1f %%, at pitch %d, %.1f %%, f0 %d, %.1f %%",
		to-from+1, s.strings, s.told, s.first, s.good, s.open, s.wrong, s.foundIn, part(s.foundIn), s.atIn, part(s.atIn), s.pitchIn, part(s.pitchIn))
	t.Logf("plucks refused: %v; strings open: %v", s.refused, s.left)
	// By chance 5 % lie beyond; six standard deviations of that are too many.
	least := 95 - 6*math.Sqrt(95*5/float64(s.told))
	if part(s.foundIn) < least || part(s.atIn) < least {
		t.Errorf("pulls lie within U in %.1f and %.1f %%", part(s.foundIn), part(s.atIn))
	}
	if s.told < s.strings/2 {
		t.Errorf("%d of %d strings were told", s.told, s.strings)
	}
}

// Courses plucked with one stroke, within the instruments above: what is told of a string is
// within U of it, and no string is taken for another. PLUCKWEIGH_COURSES is how many
// instruments.
func TestSurveysOfCourses(t *testing.T) {
	n, _ := strconv.Atoi(os.Getenv("PLUCKWEIGH_COURSES"))
	if n == 0 {
		t.Skip("PLUCKWEIGH_COURSES says how many")
	}
	courses, both, told, wrong, in := 0, 0, 0, 0, 0
	for seed := uint64(1); n > 0; seed++ {
		it := simulate(seed)
		if !strings.HasSuffix(it.tuning, "courses") {
			continue
		}
		n--
		ctx, dir := t.Context(), t.TempDir()
		file := filepath.Join(dir, "s.db")
		if err := it.keep(ctx, file); err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(it.strings); i += 2 {
			x, err := it.stroke(i, i+1)
			if err != nil {
				t.Fatal(err)
			}
			name := filepath.Join(dir, strconv.Itoa(i)+".wav")
			if err := writeTake(name, 48000, x); err != nil {
				t.Fatal(err)
			}
			var out, errs bytes.Buffer
			if c := exitCode(run(ctx, []string{"survey", "it", "--json", "--stock", file, "--ends", "pinned", name}, nil, &out, &errs)); c != codeDone && c != codeUntrusted {
				t.Fatalf("%d: %s", seed, errs.String())
			}
			var answer struct {
				Strings []struct {
					F0      *float64 `json:"f0_hz"`
					UF0     float64  `json:"u_f0_hz"`
					Newton  *float64 `json:"tension_newton"`
					UNewton float64  `json:"u_tension_newton"`
				}
			}
			lines := strings.Split(strings.TrimSpace(out.String()), "\n")
			courses++
			if json.Unmarshal([]byte(lines[len(lines)-1]), &answer) != nil || len(answer.Strings) == 0 {
				continue
			}
			heard := 0
			for k, a := range answer.Strings {
				if a.F0 == nil {
					continue
				}
				heard++
				told++
				best, off := i, math.Inf(1)
				for _, j := range []int{i, i + 1} {
					if d := math.Abs(physics.CentsBetween(physics.Frequency(it.strings[j].F0()), physics.Frequency(*a.F0))); d < off {
						best, off = j, d
					}
				}
				if off > 5 || it.notes[best] != it.notes[k] {
					wrong++
					t.Errorf("%d (%s): position %d is told %.3f Hz, and the course has %.3f and %.3f", seed, it.tuning, k+1, *a.F0, it.strings[i].F0(), it.strings[i+1].F0())
					continue
				}
				if a.Newton != nil && math.Abs(*a.Newton-it.strings[best].Tension) <= 2*a.UNewton {
					in++
				}
			}
			if heard == 2 {
				both++
			}
		}
	}
	t.Logf("%d courses: of %d both strings told; %d strings told, %d taken for another, pull within U in %d", courses, both, told, wrong, in)
}

// stroke is a take of two strings that are plucked with one stroke.
func (s *simulated) stroke(i, j int) ([]float64, error) {
	second := synth.Neighbor{String: s.strings[j], Level: 8*s.random.Float64() - 4,
		Pluck: synth.Pluck{At: 0.3 + 0.02*s.random.Float64(), Height: 0.001, Point: 0.12 + 0.2*s.random.Float64(), Width: 0.008, GlideCents: 6 * s.random.Float64()}}
	return s.render(i, func(o int) synth.Neighbor {
		if o == j {
			return second
		}
		return s.alongside(o)
	})
}
