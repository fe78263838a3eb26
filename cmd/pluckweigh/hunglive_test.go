package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/audio/synth"
)

// underPull is a string of 2 g/m and 650 mm under a pull, plucked and damped.
func underPull(t *testing.T, newton float64) []float64 {
	t.Helper()
	s := synth.FromPitch(100, 1e-4)
	s.Length, s.UnitWeight, s.Tension = 0.65, 0.002, newton
	take := synth.Take{
		String: s,
		Plucks: []synth.Pluck{{At: 0.4, Height: 0.001, Point: 0.17, Width: 0.01}},
		Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.11},
		Rate:   48000, Seconds: 3.5, Damp: 2, Level: -9, Seed: 1,
		Noise: []synth.Noise{{DB: 35}},
	}
	x, _, err := take.Render()
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// oneByOne opens a microphone that hears one sound after the other, each time it is
// opened, and counts how often that was.
func oneByOne(t *testing.T, hears []*fakeMic) (open func(context.Context, mic.Options) (audio.Source, error), opened *int) {
	opened = new(int)
	return func(context.Context, mic.Options) (audio.Source, error) {
		if *opened == len(hears) {
			t.Fatalf("the microphone is opened more than %d times", *opened)
		}
		*opened++
		return hears[*opened-1], nil
	}, opened
}

// runHang weighs with a microphone that hears one sound after the other, each time
// it is opened.
func runHang(t *testing.T, ctx context.Context, hears []*fakeMic, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	open, opened := oneByOne(t, hears)
	var out, errs bytes.Buffer
	root := newRoot(streams{nil, &out, &errs, open})
	root.SetArgs(append([]string{"weigh", "--scale", "650mm±0.1mm", "--ends", "pinned"}, args...))
	root.SetOut(&out)
	root.SetErr(&errs)
	err := root.ExecuteContext(ctx)
	report(&errs, err)
	for i, m := range hears[:*opened] {
		if !m.closed {
			t.Errorf("the microphone was left open at load %d", i)
		}
	}
	if *opened < len(hears) && ctx.Err() == nil {
		t.Errorf("the microphone was opened %d times, not %d", *opened, len(hears))
	}
	return out.String(), errs.String(), exitCode(err)
}

// Each load is asked for, and left by itself when a pluck was heard; what sounds as
// under the load before is not taken for it.
func TestHangLive(t *testing.T) {
	x, y, z := underPull(t, 20.5), underPull(t, 50.5), underPull(t, 80.5)
	dir := t.TempDir()
	hears := []*fakeMic{{samples: x}, {samples: x}, {samples: y}, {samples: z}}
	stdout, stderr, code := runHang(t, t.Context(), hears, "--hang", "20N±0.1%", "--hang", "50N±0.1%", "--hang", "80N±0.1%",
		"--json", "--save", filepath.Join(dir, "rig.wav"))
	if code != codeDone {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	for _, want := range []string{"load 1 of 3: hang 20N, let it come to rest, then pluck\n", "load 3 of 3: hang 80N",
		"that sounded as under 20N: hang 50N, then pluck\n", "Weights fall when a string snaps"} {
		if !strings.Contains(stderr, want) {
			t.Errorf("standard error lacks %q:\n%s", want, stderr)
		}
	}
	lines := strings.Split(strings.TrimSpace(stdout), "\n")
	var answers []map[string]any
	for _, line := range lines {
		if !strings.HasPrefix(line, `{"live":`) {
			_, _, take := sounds(t, line)
			answers = append(answers, take)
		}
	}
	if len(answers) != 4 {
		t.Fatalf("%d lines beside the signs of life, not three takes and a result", len(answers))
	}
	got := answers[3]["unit_weight"].(map[string]any)["kg_per_m"].(float64)
	if math.Abs(got/0.002-1) > 1e-3 {
		t.Errorf("%v kg/m, not 0.002", got)
	}
	for _, name := range []string{"rig-1-20N.wav", "rig-2-50N.wav", "rig-3-80N.wav"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
}

// That a file is in the way is said before anything is hung.
func TestHangLiveKeepsFiles(t *testing.T) {
	save := filepath.Join(t.TempDir(), "rig.wav")
	if err := os.WriteFile(strings.TrimSuffix(save, ".wav")+"-2-40N.wav", nil, 0o666); err != nil {
		t.Fatal(err)
	}
	_, stderr, code := runHang(t, t.Context(), nil, "--hang", "20N", "--hang", "40N", "--save", save)
	if code != codeCall || !strings.Contains(stderr, "rig-2-40N.wav: exists already") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}

// What ends without a pluck is left out, and one load makes no line.
func TestHangLiveWithoutPlucks(t *testing.T) {
	nothing := make([]float64, 48000)
	hears := []*fakeMic{{samples: underPull(t, 20)}, {samples: nothing, err: io.EOF}}
	stdout, stderr, code := runHang(t, t.Context(), hears, "--hang", "20N", "--hang", "40N")
	if code != codeUntrusted || !strings.Contains(stdout, "the take under 40N was left out") || strings.Contains(stdout, "unit weight") {
		t.Errorf("exit code %d\n%s\n%s", code, stdout, stderr)
	}
	ctx, stop := context.WithCancel(t.Context())
	hears = []*fakeMic{{samples: nothing, then: stop}}
	stdout, stderr, code = runHang(t, ctx, hears, "--hang", "20N", "--hang", "40N")
	if code == codeDone || strings.Contains(stdout, "unit weight") || !strings.Contains(stderr, "interrupted") {
		t.Errorf("exit code %d\n%s\n%s", code, stdout, stderr)
	}
}

// Told to stop while it reads takes, it says so once.
func TestHangInterrupted(t *testing.T) {
	dir := t.TempDir()
	args := []string{}
	for i, pull := range []float64{20, 40} {
		file := filepath.Join(dir, fmt.Sprintf("%d.wav", i))
		w, err := audio.Create(file, 48000)
		if err == nil {
			err = errors.Join(w.Write(underPull(t, pull)), w.Close())
		}
		if err != nil {
			t.Fatal(err)
		}
		args = append(args, "--hang", fmt.Sprintf("%gN:%s", pull, file))
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	stdout, stderr, code := runHang(t, ctx, nil, args...)
	if code == codeDone || stdout != "" || strings.Count(stderr, "interrupted") != 1 {
		t.Errorf("exit code %d\n%s\n%s", code, stdout, stderr)
	}
}

// Nobody is asked to hang anything where there is no microphone to hear it.
func TestHangLiveWithoutMicrophone(t *testing.T) {
	var out, errs bytes.Buffer
	root := newRoot(streams{nil, &out, &errs, func(context.Context, mic.Options) (audio.Source, error) { return nil, mic.ErrNoDevice }})
	root.SetArgs([]string{"weigh", "--scale", "650mm", "--hang", "20N", "--hang", "40N"})
	root.SetOut(&out)
	root.SetErr(&errs)
	if err := root.ExecuteContext(t.Context()); exitCode(err) != codeNoDevice {
		t.Errorf("%v", err)
	}
	if strings.Contains(errs.String(), "hang 20N") || out.Len() > 0 {
		t.Errorf("%s%s", out.String(), errs.String())
	}
}

// A rig is heard load by load as they are added, and then as they are taken off.
func TestRigLive(t *testing.T) {
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	var hears []*fakeMic
	for _, pull := range []float64{18.5, 58.5, 98.5, 59.1, 39.1, 19.1} {
		hears = append(hears, &fakeMic{samples: underPull(t, pull)})
	}
	opened := 0
	var out, errs bytes.Buffer
	root := newRoot(streams{nil, &out, &errs, func(context.Context, mic.Options) (audio.Source, error) {
		opened++
		return hears[opened-1], nil
	}})
	root.SetArgs([]string{"calibrate", "rig", "bench", "--weights", "0.1%", "--scale", "650mm", "--ends", "pinned",
		"--hang", "20N±0.1%", "--hang", "60N±0.1%", "--hang", "100N±0.1%", "--unload", "60N±0.1%", "--unload", "40N±0.1%", "--unload", "20N±0.1%"})
	root.SetOut(&out)
	root.SetErr(&errs)
	if err := root.ExecuteContext(t.Context()); err != nil {
		t.Fatalf("%v\n%s", err, errs.String())
	}
	for _, want := range []string{"load 3 of 3: hang 100N, let it come to rest, then pluck\n", "load 1 of 3: take off all but 60N, let it"} {
		if !strings.Contains(errs.String(), want) {
			t.Errorf("%q is not in\n%s", want, errs.String())
		}
	}
	if !strings.Contains(out.String(), "friction  1.1") && !strings.Contains(out.String(), "friction  1.2") {
		t.Errorf("%s", out.String())
	}
}
