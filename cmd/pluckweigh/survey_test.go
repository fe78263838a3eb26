package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/stock"
)

// fourStrings is a simulated instrument of four strings that are out of tune.
func fourStrings() *simulated {
	for seed := uint64(1); ; seed++ {
		if s := simulate(seed); s.tuning == "fourths" {
			return s
		}
	}
}

// inTurn is the sound of strings that are plucked one after the other, each for so many
// seconds, and where they are damped until shortly before the next.
func (s *simulated) inTurn(t *testing.T, seconds float64, damped bool, order ...int) []float64 {
	t.Helper()
	const rate = 48000
	out := make([]float64, int((0.6+seconds*float64(len(order)))*rate))
	for k, i := range order {
		take := synth.Take{String: s.strings[i], Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.11}, Rate: rate, Seconds: 6, Level: -14, Seed: uint64(k + 1),
			Plucks: []synth.Pluck{{At: 0.1, Height: 0.001, Point: 0.17, Width: 0.01}}}
		if damped {
			take.Damp = seconds - 0.1
		}
		x, _, err := take.Render()
		if err != nil {
			t.Fatal(err)
		}
		from := int((0.4 + seconds*float64(k)) * rate)
		for j, v := range x {
			if from+j < len(out) {
				out[from+j] += v
			}
		}
	}
	for j := range out {
		out[j] += 0.0015 * s.random.NormFloat64()
	}
	return out
}

// plucksOf are what a survey has, as another program sees it.
func plucksOf(t *testing.T, file, session string) []stock.Pluck {
	t.Helper()
	return keptIn(t, file, func(s *stock.Store) ([]stock.Pluck, error) {
		_, all, err := s.Plucks(context.Background(), session)
		return all, err
	})
}

// agrees holds an answer against the truth: pulls as found within three times what is
// said of them.
func (s *simulated) agrees(t *testing.T, answer map[string]any, want ...int) {
	t.Helper()
	told := map[int]bool{}
	for i, x := range answer["strings"].([]any) {
		x := x.(map[string]any)
		if x["tension_newton"] == nil {
			continue
		}
		told[i] = true
		pull, u := x["tension_newton"].(float64), x["u_tension_newton"].(float64)
		if truth := s.strings[i].Tension; math.Abs(pull-truth) > 3*u {
			t.Errorf("position %d pulls %v ± %v, in truth %v", i+1, pull, u, truth)
		}
	}
	for _, i := range want {
		if !told[i] {
			t.Errorf("position %d is not told", i+1)
		}
	}
	if len(told) != len(want) {
		t.Errorf("%d strings are told, not %d", len(told), len(want))
	}
}

// Strings are plucked in any order; each pluck is in the file while the microphone is
// still listened to, it ends by itself when all are good, and is continued where it was
// interrupted.
func TestSurveyLive(t *testing.T) {
	file := filepath.Join(t.TempDir(), "s.db")
	it := fourStrings()
	if err := it.keep(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	survey := func(m *patient, args ...string) (stdout, stderr string, code int) {
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		m.then = stop
		stdout, stderr, code = runMic(ctx, m, append([]string{"survey", "it", "--stock", file, "--session", "a", "--ends", "pinned"}, args...)...)
		if !m.closed {
			t.Error("the microphone was left open")
		}
		return stdout, stderr, code
	}
	m := &patient{fakeMic: fakeMic{samples: it.inTurn(t, 2.7, true, 2, 0)}}
	m.enough = func() bool { return len(plucksOf(t, file, "a")) == 2 }
	stdout, stderr, code := survey(m)
	if n := len(plucksOf(t, file, "a")); n != 2 || code != codeDone {
		t.Fatalf("%d are kept, exit code %d\n%s\n%s", n, code, stdout, stderr)
	}
	for _, want := range []string{"pluck 1 at 0.5 s: 3 A1  ", "1 of 4 done, left: 1 G2, 2 D2, 4 E1", "pluck 2 at 3.2 s: 1 G2  ", "GOOD, heard to ± 0.",
		"2 of 4 done", "total of 2 of 4", "ask the instrument's maker before raising it", "2 D2, 4 E1: not heard"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("no %q in\n%s", want, stdout)
		}
	}
	m = &patient{fakeMic: fakeMic{samples: it.inTurn(t, 2.7, true, 2, 3, 1)}}
	m.enough = func() bool { return false } // it must end by itself
	stdout, stderr, code = survey(m, "--json")
	if code != codeDone || !strings.Contains(stderr, `continuing the session "a": 2 plucks, 2 of 4 done, left: 2 D2, 4 E1`) {
		t.Errorf("exit code %d\n%s", code, stderr)
	}
	signs, plucks, answer := sounds(t, stdout)
	if len(plucks) != 3 || len(signs) == 0 {
		t.Fatalf("%d plucks, %d signs of life", len(plucks), len(signs))
	}
	for i, want := range []float64{3, 4, 2} {
		if got := plucks[i]["survey"].(map[string]any)["position"]; got != want {
			t.Errorf("pluck %d is of %v, not %v", i+1, got, want)
		}
	}
	it.agrees(t, answer, 0, 1, 2, 3)
	stdout, stderr, code = runMic(t.Context(), &fakeMic{}, "survey", "it", "--stock", file, "--session", "a", "--show", "--slope", "200N:100N", "--picture", filepath.Join(t.TempDir(), "p.svg"))
	if code != codeDone || !strings.Contains(stdout, "at pitch pulls") || !strings.Contains(stdout, "wish") {
		t.Errorf("exit code %d\n%s\n%s", code, stdout, stderr)
	}
	// Another instrument has another session.
	other := *it
	if err := other.keepAs(t.Context(), file, "other"); err != nil {
		t.Fatal(err)
	}
	_, stderr, code = runMic(t.Context(), &fakeMic{}, "survey", "other", "--stock", file, "--session", "a")
	if code != codeCall || !strings.Contains(stderr, `the survey "a" is of "it"`) {
		t.Errorf("exit code %d\n%s", code, stderr)
	}
}

// A pluck is good by what is heard of it in two seconds, though it rings on for long.
func TestSurveyIsQuick(t *testing.T) {
	file := filepath.Join(t.TempDir(), "s.db")
	it := fourStrings()
	if err := it.keep(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	for i := range it.strings {
		session := fmt.Sprint("s", i)
		ctx, stop := context.WithCancel(t.Context())
		m := &fakeMic{samples: it.inTurn(t, 6, false, i), then: stop}
		stdout, _, _ := runMic(ctx, m, "survey", "it", "--stock", file, "--session", session, "--json")
		stop()
		_, plucks, answer := sounds(t, stdout)
		if len(plucks) != 1 || answer["strings"].([]any)[i].(map[string]any)["good"] != true {
			t.Fatalf("%d plucks: %v", len(plucks), answer)
		}
		p := plucks[0]["pluck"].(map[string]any)
		if heard := p["to_s"].(float64) - p["start_s"].(float64); heard > 2.1 {
			t.Errorf("%s: measured over %.2f s", it.notes[i], heard)
		}
	}
}

// A string that rings on under the next one is never taken for it.
func TestSurveyUndamped(t *testing.T) {
	file := filepath.Join(t.TempDir(), "s.db")
	it := fourStrings()
	if err := it.keep(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	take := filepath.Join(t.TempDir(), "a.wav")
	if err := writeTake(take, 48000, it.inTurn(t, 3, false, 3, 1, 2, 0)); err != nil {
		t.Fatal(err)
	}
	stdout, stderr, code := runMic(t.Context(), &fakeMic{}, "survey", "it", "--stock", file, "--ends", "pinned", take)
	t.Logf("exit code %d\n%s\n%s", code, stdout, stderr)
	for i := range it.strings {
		for line := range strings.Lines(stdout) {
			if at := 0.5 + 3*float64([]int{3, 1, 2, 0}[i]); strings.Contains(line, fmt.Sprintf("at %.1f s: ", at)) && !strings.Contains(line, "not trusted") {
				if !strings.Contains(line, fmt.Sprintf(": %d %s  ", i+1, it.notes[i])) {
					t.Errorf("pluck of position %d: %s", i+1, line)
				}
			}
		}
	}
}

// Strings that are not known are weighed on the way: whichever pluck has the clip on, it
// is told from those that have not.
func TestSurveyWeighs(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "s.db")
	it := fourStrings()
	if err := it.keep(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	const clip = 0.3e-3 // kg
	args := []string{"survey", "it", "--stock", file, "--ends", "pinned", "--clip", "0.3g±0.0005g", "--json", "--string", "-", "--string", "-", "--string", "for A1", "--string", "for E1"}
	for i, str := range it.strings {
		for k, mass := range []float64{0, clip, clip} {
			if i > 1 && k > 0 {
				continue
			}
			str.Clip = synth.Clip{Mass: mass, At: 0.5}
			take := synth.Take{String: str, Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.11}, Rate: 48000, Seconds: 2.5, Level: -14, Seed: uint64(3*i + k),
				Plucks: []synth.Pluck{{At: 0.4, Height: 0.001, Point: 0.13, Width: 0.01}}, Noise: []synth.Noise{{DB: 30}}}
			x, _, err := take.Render()
			if err != nil {
				t.Fatal(err)
			}
			name := filepath.Join(dir, fmt.Sprintf("%d-%d.wav", i, k))
			if err := writeTake(name, 48000, x); err != nil {
				t.Fatal(err)
			}
			args = append(args, name)
		}
	}
	stdout, stderr, code := runMic(t.Context(), &fakeMic{}, args...)
	lines := strings.Split(strings.TrimSpace(stdout), "\n")
	var answer map[string]any
	if err := json.Unmarshal([]byte(lines[len(lines)-1]), &answer); err != nil || code != codeDone {
		t.Fatalf("exit code %d, %v\n%s", code, err, stderr)
	}
	if !strings.Contains(stderr, "a clip can fly off") {
		t.Errorf("no caution: %s", stderr)
	}
	it.agrees(t, answer, 0, 1, 2, 3)
	for i, x := range answer["strings"].([]any) {
		x := x.(map[string]any)
		mu, u := x["kg_per_m"].(float64), x["u_kg_per_m"].(float64)
		truth := it.strings[i].UnitWeight
		t.Logf("position %d: %.4g g/m, %+.2f u off; %v plucks, %+.1f cents; pull u %.2f %%", i+1, 1e3*mu, (mu-truth)/u, x["plucks"], x["cents"], 100*x["u_tension_newton"].(float64)/x["tension_newton"].(float64))
		if math.Abs(mu-truth) > 3*u || x["by_clip"] != (i < 2) {
			t.Errorf("position %d: by clip %v, weighs %v ± %v, in truth %v", i+1, x["by_clip"], mu, u, truth)
		}
		if i < 2 && x["plucks"] != 3. {
			t.Errorf("position %d: %v plucks", i+1, x["plucks"])
		}
	}
}

// Of what may be a note or its octave, the instrument's strings decide, where one of them
// alone is its.
func TestSurveyKnowsOctaves(t *testing.T) {
	dir := t.TempDir()
	take := filepath.Join(dir, "g.wav")
	x := make([]float64, 3*48000)
	noise := fourStrings().random
	for i := range x {
		x[i] = 1e-4 * noise.NormFloat64()
		if s := float64(i-24000) / 48000; s > 0 {
			x[i] += 0.3 * math.Exp(-1.5*s) * math.Sin(2*math.Pi*196*s)
		}
	}
	if err := writeTake(take, 48000, x); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "s.db")
	for i, notes := range []string{"G3 D4", "G3 G2", "E2 A4"} {
		args := []string{"stock", "add", fmt.Sprint(i), "--stock", file}
		for _, n := range strings.Fields(notes) {
			args = append(args, "--position", "648mm:"+n)
		}
		if _, stderr, code := runMic(t.Context(), &fakeMic{}, args...); code != codeDone {
			t.Fatal(stderr)
		}
		stdout, _, code := runMic(t.Context(), &fakeMic{}, "survey", fmt.Sprint(i), take, "--stock", file)
		t.Logf("%s: exit code %d\n%s", notes, code, stdout)
		if told := strings.Contains(stdout, "1 G3  "); told != (i == 0) {
			t.Errorf("%s: told %v\n%s", notes, told, stdout)
		}
	}
}
