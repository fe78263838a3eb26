package main

import (
	"context"
	"encoding/json"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/calib"
)

// A fakeRecorder is a fakeMic with a name and a clock of its own. It delivers
// silence, in blocks of 480 samples that come up to 5 ms late.
type fakeRecorder struct {
	fakeMic
	name     string
	ppm      float64
	stopAt   time.Duration // when stop is called, 0 for never
	stop     func()
	came     int64
	arrivals []audio.Arrival
	late     *rand.Rand
}

func (m *fakeRecorder) Device() string { return m.name }

func (m *fakeRecorder) Arrivals() []audio.Arrival {
	a := m.arrivals
	m.arrivals = nil
	return a
}

func (m *fakeRecorder) Read(ctx context.Context, dst []float64) (int, error) {
	if m.samples != nil {
		return m.fakeMic.Read(ctx, dst)
	}
	if m.late == nil {
		m.late = rand.New(rand.NewPCG(1, 2))
	}
	const block = 480
	m.came += block
	ready := float64(m.came) / (48000 * (1 + m.ppm*1e-6))
	at := time.Duration((ready + 0.005*m.late.Float64()) * float64(time.Second))
	m.arrivals = append(m.arrivals, audio.Arrival{Samples: m.came, At: at})
	if m.stopAt > 0 && at > m.stopAt {
		m.stop()
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return min(block, len(dst)), nil
}

// ownStore gives the test a folder of its own to keep calibrations in.
func ownStore(t *testing.T) *calib.Store {
	t.Helper()
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	s, err := calib.UserStore()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestCalibrateClockLive(t *testing.T) {
	store := ownStore(t)
	m := &fakeRecorder{name: "usb (ALSA)", ppm: 83}
	stdout, stderr, code := runMic(t.Context(), m, "calibrate", "clock", "--system-ppm", "0.5", "--input", "usb")
	if code != codeDone || !m.closed || !strings.HasPrefix(stderr, "counting the samples of usb (ALSA) at 48000 Hz for 180 s") {
		t.Fatalf("exit code %d, closed %t: %s", code, m.closed, stderr)
	}
	for _, want := range []string{"usb (ALSA) at 48000 Hz\n  clock +83.", "ppm  (k = 2)", "counted for 179 s", "kept as clock-1 until"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("standard output lacks %q:\n%s", want, stdout)
		}
	}
	all, err := store.Entries()
	if err != nil || len(all) != 1 || math.Abs(all[0].Value-83) > 2*all[0].U || all[0].U > 1.2 {
		t.Errorf("kept: %+v, %v", all, err)
	}

	// Told to stop after 40 s, and in place of the first.
	ctx, stop := context.WithCancel(t.Context())
	m = &fakeRecorder{name: "usb (ALSA)", ppm: 60, stopAt: 40 * time.Second, stop: stop}
	stdout, stderr, code = runMic(ctx, m, "calibrate", "clock", "--system-ppm", "0.5", "--json")
	var e calib.Entry
	if err := json.Unmarshal([]byte(stdout), &e); err != nil || code != codeDone {
		t.Fatalf("%v, exit code %d: %s%s", err, code, stdout, stderr)
	}
	if math.Abs(e.Value-60) > 2*e.U || e.U > 5 || !strings.Contains(e.How, "counted for 39 s") {
		t.Errorf("kept: %+v", e)
	}
	if all, _ := store.Entries(); len(all) != 1 || all[0].ID != e.ID {
		t.Errorf("kept: %+v", all)
	}

	// Too soon to say anything: the first stays.
	ctx, stop = context.WithCancel(t.Context())
	m = &fakeRecorder{name: "usb (ALSA)", stopAt: 5 * time.Second, stop: stop}
	stdout, stderr, code = runMic(ctx, m, "calibrate", "clock")
	if all, _ := store.Entries(); code != codeCall || stdout != "" || !strings.Contains(stderr, "too short") || len(all) != 1 || all[0].Value != e.Value {
		t.Errorf("exit code %d: %s%s, kept %+v", code, stdout, stderr, all)
	}
}

func TestCalibrateClockRefuses(t *testing.T) {
	ownStore(t)
	for name, c := range map[string]struct {
		mic  audio.Source
		args []string
		code int
		say  string
	}{
		"at another rate than it says": {&fakeRecorder{name: "usb", ppm: 88435}, nil, codeCall, "cannot be off by 88"},
		"no recorder":                  {&fakeMic{err: io.EOF}, nil, codeFailed, "does not say when"},
		"too short":                    {nil, []string{"--seconds", "10"}, codeCall, "too short to count"},
		"no ppm":                       {nil, []string{"--system-ppm", "zero"}, codeCall, "parts per million"},
		"a file":                       {nil, []string{"take.wav"}, codeCall, "takes no argument"},
	} {
		stdout, stderr, code := runMic(t.Context(), c.mic, append([]string{"calibrate", "clock"}, c.args...)...)
		if code != c.code || stdout != "" || !strings.Contains(stderr, c.say) {
			t.Errorf("%s: exit code %d: %s%s", name, code, stdout, stderr)
		}
	}
}

// A microphone's own calibration at its own rate is applied, and no other.
func TestClockAppliesByItself(t *testing.T) {
	store := ownStore(t)
	now := time.Now()
	tension := func(device string) (newton float64, said string, doubts []any) {
		t.Helper()
		m := &fakeRecorder{fakeMic: fakeMic{samples: twoPlucks(t), err: io.EOF}, name: device}
		stdout, stderr, code := runMic(t.Context(), m, "tension", "--scale", "34in", "--unit-weight", "18g/m", "--json")
		_, _, take := sounds(t, stdout)
		if code != codeDone {
			t.Fatalf("exit code %d: %s", code, stderr)
		}
		of := take["tension"].(map[string]any)
		for _, b := range of["budget"].([]any) {
			if b := b.(map[string]any); b["input"] == "recorder clock" {
				said = b["say"].(string)
			}
		}
		return of["newton"].(float64), said, take["doubts"].([]any)
	}
	plain, said, doubts := tension("usb (ALSA)")
	if said != "± 58 ppm" || len(doubts) > 0 {
		t.Errorf("nothing calibrated: %s, %v", said, doubts)
	}
	put := func(name string, rate float64, made time.Time) {
		t.Helper()
		if _, _, err := store.Put(calib.ClockEntry(name, rate, calib.Clock{PPM: 150, U: 1, Source: "made up"}, made)); err != nil {
			t.Fatal(err)
		}
	}
	put("usb (ALSA)", 48000, now)
	newton, said, doubts := tension("usb (ALSA)")
	if r := newton/plain - 1; math.Abs(r-300e-6) > 1e-7 || len(doubts) > 0 || !strings.HasPrefix(said, "± 3.2 ppm, +150.0 ppm, usb (ALSA), calibrated on ") {
		t.Errorf("calibrated: %g of tension, %s, %v", r, said, doubts)
	}
	if newton, said, doubts := tension("other (ALSA)"); newton != plain || len(doubts) > 0 || !strings.Contains(said, "that of usb (ALSA) is not applied") {
		t.Errorf("another device: %g N, %s, %v", newton, said, doubts)
	}
	put("other (ALSA)", 44100, now)
	if newton, _, doubts := tension("other (ALSA)"); newton != plain || len(doubts) != 1 || !strings.Contains(doubts[0].(map[string]any)["say"].(string), "at 44100 Hz, not at this take's 48000 Hz") {
		t.Errorf("another rate: %g N, %v", newton, doubts)
	}
	put("old (ALSA)", 48000, now.Add(-calib.Lasts-time.Hour))
	if newton, _, doubts := tension("old (ALSA)"); newton != plain || len(doubts) != 1 || doubts[0].(map[string]any)["code"] != "clock_not_applied" {
		t.Errorf("out of date: %g N, %v", newton, doubts)
	}
	if err := os.WriteFile(store.Path(), []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if newton, _, doubts := tension("usb (ALSA)"); newton != plain || len(doubts) != 1 || !strings.Contains(doubts[0].(map[string]any)["say"].(string), "cannot be read") {
		t.Errorf("damaged: %g N, %v", newton, doubts)
	}
	if left, _ := filepath.Glob(filepath.Dir(store.Path()) + "/*"); len(left) != 2 { // it and its lock
		t.Errorf("left: %v", left)
	}
}

func TestCalibrateToneLive(t *testing.T) {
	store := ownStore(t)
	x := make([]float64, 10*48000)
	noise := rand.New(rand.NewPCG(3, 4))
	for i := range x {
		x[i] = 0.3*math.Sin(2*math.Pi*440.022*float64(i)/48000) + 0.001*noise.NormFloat64()
	}
	ctx, stop := context.WithCancel(t.Context())
	m := &fakeRecorder{fakeMic: fakeMic{samples: x, then: stop}, name: "usb (ALSA)"}
	stdout, stderr, code := runMic(ctx, m, "calibrate", "tone", "--of", "440Hz±0.0001Hz", "--input", "usb")
	want := 1e6 * (440/440.022 - 1)
	all, err := store.Entries()
	if code != codeDone || !m.closed || err != nil || len(all) != 1 || all[0].Name != "usb (ALSA)" || math.Abs(all[0].Value-want) > 2*all[0].U {
		t.Errorf("exit code %d, closed %t: %s%s, kept %+v, %v", code, m.closed, stdout, stderr, all, err)
	}
	if !strings.HasPrefix(stderr, "listening to the tone by usb (ALSA) at 48000 Hz for 30 s") || !strings.Contains(stdout, "compared for 10 s") {
		t.Errorf("%s%s", stdout, stderr)
	}
	m = &fakeRecorder{fakeMic: fakeMic{samples: x, err: io.EOF, flaws: []audio.Flaw{{Kind: audio.Overrun, At: 48000}}}, name: "usb (ALSA)"}
	if stdout, stderr, code := runMic(t.Context(), m, "calibrate", "tone", "--of", "440Hz±0.0001Hz", "--input", "usb"); code != codeCall || !strings.Contains(stderr, "samples are missing") {
		t.Errorf("after a loss: exit code %d: %s%s", code, stdout, stderr)
	}
}
