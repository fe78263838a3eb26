package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio"
	"pluckweigh/physics"
)

// said runs a command and returns what it prints for a person.
func said(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if err := run(t.Context(), args, nil, &out, &errs); exitCode(err) != codeDone {
		t.Fatalf("%s: %v: %s", args, err, errs.String())
	}
	return out.String()
}

// Every ± that a person is shown says its coverage factor, in its own line or in
// the heading that it stands below.
func TestEveryUncertaintySaysItsCoverage(t *testing.T) {
	take := filepath.Join(t.TempDir(), "take.wav")
	w, err := audio.Create(take, 48000)
	if err == nil {
		err = w.Write(twoPlucks(t))
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	live, _, _ := runLive(t, t.Context(), &fakeMic{samples: twoPlucks(t)[:2*48000], err: audio.ErrClosed},
		"tension", "--scale", "34in", "--unit-weight", "18g/m")
	for name, text := range map[string]string{
		"listen":  said(t, "listen", take),
		"tension": said(t, "tension", "--scale", "34in", "--unit-weight", "18g/m", take),
		"weigh":   said(t, "weigh", "--scale", "34in", "--pull", "160N", take),
		"wire":    said(t, "weigh", "--gauge", "0.3mm", "--material", "steel"),
		"live":    live,
	} {
		heading, seen := "", 0
		for line := range strings.Lines(text) {
			switch inner := strings.HasPrefix(line, "    "); {
			case inner && strings.HasPrefix(heading, "  to know it better"):
			case inner && strings.Contains(heading, "(each input ± its standard uncertainty, k = 1)"):
				seen++
			case inner && strings.Contains(line, "±"):
				t.Errorf("%s: below %q: %s", name, heading, line)
			case !inner:
				heading = line
				if strings.Count(line, "±") != strings.Count(line, "(k = 2)") && !strings.Contains(line, "k = 1") {
					t.Errorf("%s: %s", name, line)
				}
				seen += strings.Count(line, "(k = 2)")
			}
		}
		if seen < 3 {
			t.Errorf("%s: %d uncertainties in\n%s", name, seen, text)
		}
	}
	// The demo says it of all of them before the first.
	demo := said(t, "demo")
	legend := strings.Index(demo, "What is told carries its standard uncertainty (k = 1), what is heard twice that (k = 2).")
	if first := strings.Index(demo, "±"); legend < 0 || first < legend {
		t.Errorf("the demo's legend is at %d, its first ± at %d", legend, first)
	}
	for line := range strings.Lines(demo) {
		if told := strings.Contains(line, "told "); !told && strings.Contains(line, "±") && !strings.Contains(line, "(k = 2)") {
			t.Errorf("demo: %s", line)
		}
	}
}

// Where a result hangs on how few plucks scatter, k = 2 would mislead, and that is said.
func TestFewDegreesOfFreedomAreSaid(t *testing.T) {
	for _, c := range []struct {
		dof  float64
		u    physics.Frequency
		want string
	}{
		{1, 0.5, "few degrees of freedom (1): 95 % takes k = 13"},
		{3, 0.5, "few degrees of freedom (3): 95 % takes k = 3.2"},
		{30, 0.5, ""},
		{1, 0.001, ""}, // f0 hardly matters
		{0, 0.5, ""},
	} {
		s := physics.Stretch{Length: physics.Stated[physics.Length](0.8636, 1e-4), Ends: physics.EndsPinned,
			F0: physics.Measured[physics.Frequency]{Value: 55, U: c.u, DoF: c.dof}}
		r, err := s.Tension(physics.Stated(18*physics.GramPerMetre, 1e-5))
		if err != nil {
			t.Fatal(err)
		}
		var out strings.Builder
		f := figureOf("tension", "", r, nil)
		f.write(&out)
		if f.other != c.want || c.want != "" && !strings.Contains(out.String(), "\n  "+c.want+"\n") {
			t.Errorf("%g of f0 ± %v: %q in\n%s", c.dof, c.u, f.other, out.String())
		}
		if got := newTensionJSON(f).DoF; (got == nil) != (c.dof == 0) {
			t.Errorf("%g degrees of freedom of f0: %v in JSON", c.dof, got)
		}
	}
}

// What is said of the two ways depends on how they differ.
func TestMonteCarloIsHeldAgainstTheBudget(t *testing.T) {
	for _, c := range []struct {
		linear physics.Interval
		want   string
	}{
		{physics.Interval{Low: 98, High: 102}, "the two agree to 0.5 N"},
		{physics.Interval{Low: 97, High: 103}, "the two differ by more than 0.5 N: the budget errs on the safe side"},
		{physics.Interval{Low: 99, High: 101}, "the two differ by more than 0.5 N: go by Monte Carlo"},
	} {
		r := physics.Result[physics.Force]{Measured: physics.Stated[physics.Force](100, 1)}
		s := spread{Validation: r.Validate(physics.Propagation{Shortest: physics.Interval{Low: 98, High: 102}, P: 0.95}, 1), difference: "0.5 N"}
		s.Linear = c.linear
		s.Agrees = c.linear == s.Shortest
		var out strings.Builder
		s.write(&out)
		if !strings.Contains(out.String(), "\n  "+c.want+"\n") {
			t.Errorf("%+v: %s", c.linear, out.String())
		}
	}
}
