package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/audio/synth"
	"pluckweigh/detect/detecttest"
	"pluckweigh/lesson"
)

// runLesson runs a lesson on a microphone that hears one sound after the other, each time
// it is opened.
func runLesson(t *testing.T, ctx context.Context, in io.Reader, hears []*fakeMic, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	open, opened := oneByOne(t, hears)
	var out, errs bytes.Buffer
	root := newRoot(streams{in, &out, &errs, open})
	root.SetArgs(append([]string{"lesson"}, args...))
	root.SetOut(&out)
	root.SetErr(&errs)
	err := root.ExecuteContext(ctx)
	report(&errs, err)
	for i, m := range hears[:*opened] {
		if !m.closed {
			t.Errorf("the microphone was left open at point %d", i)
		}
	}
	return out.String(), errs.String(), exitCode(err)
}

// outcomeOf is the last line of what a lesson prints as JSON.
func outcomeOf(t *testing.T, stdout string) (o lessonJSON) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(stdout), "\n")
	if err := json.Unmarshal([]byte(lines[len(lines)-1]), &o); err != nil {
		t.Fatalf("%v: %s", err, stdout)
	}
	return o
}

// The x of each point is asked for and read from standard input, what cannot be is asked
// for again, and a pluck is waited for; an empty line ends it.
func TestLessonLive(t *testing.T) {
	pulls := []float64{20, 32, 45, 60}
	var hears []*fakeMic
	var typed strings.Builder
	for i, p := range pulls {
		hears = append(hears, &fakeMic{samples: underPull(t, p)})
		if i == 1 {
			typed.WriteString("32\n")
		}
		fmt.Fprintf(&typed, "%gN±0.2%%\n", p)
	}
	typed.WriteString("\nnever read\n")
	stdout, stderr, code := runLesson(t, t.Context(), strings.NewReader(typed.String()), hears, "tension", "--listen", "--scale", "650mm±0.1mm", "--json")
	if code != codeDone {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	for _, want := range []string{"Weights fall when a string snaps", "point 1: load, like 20N±0.1N?", "point 1, 20N±0.2%: pluck, and let it ring\n",
		`load "32" has no unit`, "point 4: ", "so far: "} {
		if !strings.Contains(stderr, want) {
			t.Errorf("standard error lacks %q:\n%s", want, stderr)
		}
	}
	o := outcomeOf(t, stdout)
	if o.Verdict != lesson.Agrees || o.Used != 4 || len(o.Measured) != 4 || o.Measured[3].From != "microphone" {
		t.Errorf("%s of %d: %s", o.Verdict, o.Used, o.Say)
	}
	for _, f := range o.Findings {
		if f.Symbol == "µ" && (f.Low > 2 || f.High < 2) {
			t.Errorf("%s, not 2 g/m", f.Text())
		}
	}
}

// What is told beforehand is not asked for, and a lesson that one pluck has all of takes one.
func TestLessonLiveTold(t *testing.T) {
	hears := []*fakeMic{{samples: underPull(t, 20)}, {samples: underPull(t, 45)}}
	stdout, stderr, code := runLesson(t, t.Context(), nil, hears, "tension", "--listen", "20N", "45N")
	if code != codeDone || !strings.Contains(stdout, "NOT SHOWN") || strings.Contains(stderr, "?") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
	stdout, stderr, code = runLesson(t, t.Context(), nil, []*fakeMic{{samples: twoPlucks(t)}}, "stiffness", "--listen", "--json")
	o := outcomeOf(t, stdout)
	if code != codeDone || o.Verdict != lesson.Agrees || o.Findings[0].Low > 6e-5 || o.Findings[0].High < 6e-5 {
		t.Errorf("exit code %d: %s %s", code, o.Say, stderr)
	}
}

// A watch is a writer that calls then once something has been written.
type watch struct {
	bytes.Buffer
	until string
	then  func()
}

func (w *watch) Write(p []byte) (int, error) {
	n, err := w.Buffer.Write(p)
	if strings.Contains(w.String(), w.until) {
		w.then()
	}
	return n, err
}

// Ctrl-C while a number is asked for ends the lesson with what there is.
func TestLessonLiveInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	in, feed := io.Pipe()
	defer feed.Close()
	go io.WriteString(feed, "20N\n")
	errs, out := &watch{until: "point 2: load", then: cancel}, &bytes.Buffer{}
	m := &fakeMic{samples: underPull(t, 20)}
	root := newRoot(streams{in, out, errs, func(context.Context, mic.Options) (audio.Source, error) { return m, nil }})
	root.SetArgs([]string{"lesson", "tension", "--listen"})
	if err := root.ExecuteContext(ctx); err != nil || !strings.Contains(out.String(), "NOT SHOWN") || !strings.Contains(out.String(), "20.00 ± 0.20 N") {
		t.Errorf("%v\n%s%s", err, out, errs)
	}
}

// A lesson of which one take has many plucks listens until Ctrl-C.
func TestLessonLiveGlide(t *testing.T) {
	s := synth.FromPitch(80, 1e-5)
	s.AxialStiffness = 40e3
	take := synth.Take{String: s, Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.11}, Rate: 48000, Seconds: 12.5, Level: -6, Seed: 1, Noise: []synth.Noise{{DB: 40}}}
	for i, h := range []float64{1, 1.6, 2.4, 3.2, 2} {
		take.Plucks = append(take.Plucks, synth.Pluck{At: 0.4 + 2.4*float64(i), Height: 1e-3 * h, Point: 0.17, Width: 0.01})
	}
	x, _, err := take.Render()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	stdout, stderr, code := runLesson(t, ctx, nil, []*fakeMic{{samples: x, then: cancel}}, "glide", "--listen", "--json")
	o := outcomeOf(t, stdout)
	if code != codeDone || o.Used != 5 || math.Abs(o.Findings[0].Value.V-1) > 0.1 {
		t.Errorf("exit code %d, %d points: %s\n%s", code, o.Used, o.Say, stderr)
	}
}

// A microphone that breaks down leaves the points that were measured.
func TestLessonLiveBreaks(t *testing.T) {
	hears := []*fakeMic{{samples: underPull(t, 20)}, {err: failure{io.ErrUnexpectedEOF}}}
	stdout, stderr, code := runLesson(t, t.Context(), nil, hears, "tension", "--listen", "20N", "45N")
	if code != codeFailed || !strings.Contains(stdout, "20.00 ± 0.20 N") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
}

// What standard output has is the same as the sheet's, and Chromium reads it.
func TestLessonSheet(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv(requireTools) == "1" {
			t.Fatal(err)
		}
		t.Skip("chromium is not installed")
	}
	dir := t.TempDir()
	sheet := filepath.Join(dir, "sheet.html")
	args := []string{"length", "650mm=82.41Hz", "600mm=89.3Hz", "550mm=97.4Hz", "450mm=119.1Hz", "350mm=153.0Hz", "300mm=199Hz", "--aside", "6"}
	var out bytes.Buffer
	if err := run(t.Context(), append(append([]string{"lesson"}, args...), "--json", "--sheet", sheet), nil, &out, io.Discard); err != nil {
		t.Fatal(err)
	}
	o := outcomeOf(t, out.String())
	dom, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom", "--user-data-dir="+dir, "file://"+sheet).Output()
	if err != nil {
		t.Fatal(err)
	}
	page := string(dom)
	for _, want := range []string{"What to do", "Source: M. Mersenne", o.Findings[0].Text(), "does not count: set aside by hand", "<svg", "Protect your eyes",
		fmt.Sprintf(`data-value="%v"`, o.Findings[0].Value.V)} {
		if !strings.Contains(page, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
}

// Recorded notes of one bass string at three frets: as far apart as frets are. Their
// makers tuned each by itself, so that it is told no closer than that.
func TestLessonOfRecordedFrets(t *testing.T) {
	onceOnly(t)
	notes, err := detecttest.Notes()
	if err != nil {
		if os.Getenv(requireTools) == "1" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	dir := t.TempDir()
	args := []string{"lesson", "frets", "--json"}
	at := map[int]int{} // two of each fret are enough
	for i, n := range notes {
		if !n.FretLaw || n.String != "E" || at[n.Fret] == 2 {
			continue
		}
		at[n.Fret]++
		name := filepath.Join(dir, fmt.Sprintf("%d.wav", i))
		w, err := audio.Create(name, n.Rate)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Write(n.Samples); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		args = append(args, fmt.Sprintf("%d:%s", n.Fret, name))
	}
	var out, errs bytes.Buffer
	if err := run(t.Context(), args, nil, &out, &errs); err != nil {
		t.Fatal(err, errs.String())
	}
	o := outcomeOf(t, out.String())
	t.Log(o.Say, o.Used)
	for _, p := range o.Placed {
		t.Logf("%s: off by %.1f cents", p.Name, p.Off)
	}
	if o.Used != 6 || o.Verdict == lesson.Contradicts || math.Abs(o.Findings[0].Value.V-1) > 0.1 {
		t.Errorf("%s of %d: %s", o.Verdict, o.Used, o.Say)
	}
}

// Whatever is typed as a point gives one or is refused with a hint, and nothing panics.
func FuzzLessonPoint(f *testing.F) {
	for _, l := range lesson.All() {
		w := &teaching{of: l}
		f.Add(l.ID, w.example("="))
		f.Add(l.ID, w.example(":"))
	}
	f.Add("length", "=")
	f.Add("temperature", "21°C,,=82Hz")
	f.Fuzz(func(t *testing.T, id, arg string) {
		l, err := lesson.Named(id)
		if err != nil {
			return
		}
		w, c := &teaching{of: l}, &class{}
		if _, err := w.named(c, []string{arg}); err != nil && hintOf(err) == "" {
			t.Errorf("%q: %v without a hint", arg, err)
		}
		for _, p := range c.points {
			if err := l.Check(p); err != nil {
				t.Errorf("%q: %v", arg, err)
			}
		}
	})
}
