//go:build cgo && !nomic

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/mic/soundrig"
	"pluckweigh/calib"
	"pluckweigh/physics"
)

func TestMicrophoneSaysWhatTheFileSays(t *testing.T) {
	t.Parallel()
	const seconds = 2.0
	note := bassNote(t)
	path, samples := play(t, note, seconds)
	rig := soundrig.Start(t, soundrig.Options{Play: samples, Rate: int(note.Rate)})
	commands := [][]string{
		{"listen", "--json"},
		{"tension", "--json", "--scale", "34in", "--unit-weight", "18g/m"},
	}
	var live []*process
	for _, c := range commands {
		live = append(live, start(t, rig, append(c, "--input", soundrig.Default, "--seconds", fmt.Sprint(seconds))...))
	}
	for i, c := range commands {
		if code := live[i].end(); code != codeDone {
			t.Fatalf("%s: exit code %d: %s", c[0], code, live[i].errs.String())
		}
		_, _, heard := sounds(t, live[i].out.String())
		var out, errs bytes.Buffer
		if err := run(t.Context(), append(c, path), nil, &out, &errs); err != nil && exitCode(err) != codeDone {
			t.Fatalf("%v: %s", err, errs.String())
		}
		_, _, read := sounds(t, out.String())
		f0 := func(take map[string]any) physics.Frequency {
			return physics.Frequency(take["reading"].(map[string]any)["f0_hz"].(float64))
		}
		cents := physics.CentsBetween(f0(read), f0(heard))
		t.Logf("%s of %s: %g Hz from the file, %+.5f cents by the microphone", c[0], note.Name, float64(f0(read)), cents)
		if math.Abs(cents) > 0.1 {
			t.Errorf("%s: the microphone is %.3f cents off the file", c[0], cents)
		}
		if c[0] == "tension" {
			newton := func(take map[string]any) float64 { return take["tension"].(map[string]any)["newton"].(float64) }
			if a, b := newton(heard), newton(read); math.Abs(a/b-1) > 2*0.1*math.Ln2/1200 {
				t.Errorf("%g N by the microphone, %g N from the file", a, b)
			}
		}
	}
}

func TestMicrophoneServerDies(t *testing.T) {
	t.Parallel()
	rig := soundrig.Start(t, soundrig.Options{Play: float32s(twoPlucks(t))})
	kept := filepath.Join(t.TempDir(), "kept.wav")
	p := start(t, rig, "listen", "--json", "--save", kept, "--input", soundrig.Default)
	p.await(t)
	time.Sleep(2200 * time.Millisecond) // a pluck
	rig.Kill()
	died := time.Now()
	if code := p.end(); code != codeNoDevice {
		t.Errorf("exit code %d: %s", code, p.errs.String())
	}
	t.Logf("the result was there %.2f s after the server's death", time.Since(died).Seconds())
	_, _, take := sounds(t, p.out.String())
	if take == nil || take["reading"] == nil {
		t.Errorf("what was heard is lost: %v", take)
	}
	if e := p.errs.String(); !strings.Contains(e, "pluckweigh: the sound input device has stopped delivering\nhint: ") {
		t.Errorf("standard error: %s", e)
	}
	if src, err := audio.Open(kept, audio.Options{}); err != nil {
		t.Error(err)
	} else {
		src.Close()
	}
}

func TestMicrophoneInterrupted(t *testing.T) {
	t.Parallel()
	rig := soundrig.Start(t, soundrig.Options{Play: float32s(twoPlucks(t))})
	p := start(t, rig, "listen", "--json", "--input", soundrig.Default)
	p.await(t)
	time.Sleep(2200 * time.Millisecond)
	p.Process.Signal(os.Interrupt)
	if code := p.end(); code != codeDone {
		t.Errorf("exit code %d: %s", code, p.errs.String())
	}
	if _, _, take := sounds(t, p.out.String()); take == nil || take["reading"] == nil {
		t.Errorf("what was heard is lost: %v", take)
	}
}

// A terminal shows one line, written over, where lines are wanted.
func TestMicrophoneTerminal(t *testing.T) {
	t.Parallel()
	out := onTerminal(t, "--lines")
	writes := strings.Split(out, "\r")
	pitched := 0
	for _, w := range writes {
		if len(w) > 60 && strings.Contains(w, " dB [") {
			t.Errorf("the line is too wide: %q", w)
		}
		if strings.Contains(w, " dB [") && strings.Contains(w, "A1 ") {
			pitched++
		}
	}
	if pitched < 3 || strings.Contains(out, "\x1b") {
		t.Errorf("%d updates with the note:\n%q", pitched, out)
	}
	if !strings.Contains(out, "note             A1") {
		t.Errorf("no answer: %s", out)
	}
}

// Otherwise it shows a screen, and the answer when that is gone.
func TestMicrophoneScreen(t *testing.T) {
	t.Parallel()
	out := onTerminal(t, "")
	screen, after, ok := strings.Cut(out, "\x1b[?1049l")
	if !ok || !strings.Contains(screen, "\x1b[?1049h") || !strings.Contains(screen, "██") || !strings.Contains(screen, "it rings") {
		t.Errorf("no screen: %q", out)
	}
	if !strings.Contains(after, "note             A1") || strings.Contains(out, "ALSA") {
		t.Errorf("no answer: %q", after)
	}
}

// onTerminal is what listen writes on a terminal of 60 columns while a string is plucked.
func onTerminal(t *testing.T, flags string) string {
	t.Helper()
	script, err := exec.LookPath("script")
	if err != nil {
		if os.Getenv(requireTools) == "1" {
			t.Fatal("script is missing: apt-get install bsdutils")
		}
		t.Skip("script (bsdutils) is missing")
	}
	rig := soundrig.Start(t, soundrig.Options{Play: float32s(twoPlucks(t))})
	cmd := exec.Command(script, "-qec", "stty cols 60 rows 24; pluckweigh listen --input default --seconds 2 "+flags, "/dev/null")
	cmd.Env = append(rig.Env(), "TERM=xterm")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return string(out)
}

func TestMicrophoneMissing(t *testing.T) {
	for name, rig := range map[string]*soundrig.Rig{"no device": soundrig.NoDevice(t), "empty ALSA": soundrig.EmptyALSA(t)} {
		for _, args := range [][]string{{"devices"}, {"listen", "--input="}} {
			p := start(t, rig, args...)
			if code := p.end(); code != codeNoDevice || p.out.Len() > 0 {
				t.Errorf("%s, %s: exit code %d, %s", name, args[0], code, p.out.String())
			}
			if e := p.errs.String(); strings.Count(e, "\n") != 2 || !strings.HasPrefix(e, "pluckweigh: ") || !strings.Contains(e, "\nhint: ") {
				t.Errorf("%s, %s: standard error %q", name, args[0], e)
			}
		}
	}
}

func TestMicrophoneDevices(t *testing.T) {
	rig := soundrig.Start(t, soundrig.Options{Unpaced: true})
	p := start(t, rig, "devices")
	if code := p.end(); code != codeDone || !strings.Contains(p.out.String(), "* default (ALSA)") || !strings.Contains(p.out.String(), soundrig.Second) || p.errs.Len() > 0 {
		t.Errorf("exit code %d, %s%s", code, p.out.String(), p.errs.String())
	}
	p = start(t, rig, "devices", "--json")
	if p.end(); strings.Count(p.out.String(), `"name":`) != strings.Count(p.out.String(), "\n") || !strings.Contains(p.out.String(), `"default":true`) {
		t.Errorf("%s", p.out.String())
	}
}

// A line of loads, each heard by the microphone when it is asked for.
func TestMicrophoneHang(t *testing.T) {
	t.Parallel()
	pulls := []float64{20.5, 50.5, 80.5} // N, half a newton more than what hangs
	var sounds [][]float32
	for _, p := range pulls {
		sounds = append(sounds, float32s(underPull(t, p)))
	}
	rig := soundrig.Start(t, soundrig.Options{Play: sounds[0]})
	asked := 0
	p := startSeen(t, rig, func(line string) {
		if strings.HasPrefix(line, "load ") { // the device is open: what is next is for the next load
			if asked++; asked < len(sounds) {
				rig.Next(sounds[asked])
			}
		}
	}, "weigh", "--hang", "20N±0.1%", "--hang", "50N±0.1%", "--hang", "80N±0.1%", "--scale", "650mm±0.1mm", "--ends", "pinned",
		"--input", soundrig.Default, "--json")
	if code := p.end(); code != codeDone {
		t.Fatalf("exit code %d: %s", code, p.errs.String())
	}
	all := strings.TrimSpace(p.out.String())
	var last struct {
		UnitWeight struct {
			V float64 `json:"kg_per_m"`
			U float64 `json:"u_kg_per_m"`
		} `json:"unit_weight"`
	}
	if err := json.Unmarshal([]byte(all[strings.LastIndex(all, "\n")+1:]), &last); err != nil {
		t.Fatal(err)
	}
	w := last.UnitWeight
	t.Logf("%.5g ± %.2g g/m (k = 1)", 1000*w.V, 1000*w.U)
	if off := math.Abs(w.V - 0.002); off > 2*w.U || off > 1e-3*0.002 || asked != len(pulls) {
		t.Errorf("%v ± %v kg/m, not 0.002; %d loads were asked for", w.V, w.U, asked)
	}
}

// A server that is paced by the system's clock is off by nothing, and the device is
// known by what the server takes its sound from.
func TestMicrophoneCalibrated(t *testing.T) {
	t.Parallel()
	rig := soundrig.Start(t, soundrig.Options{Play: float32s(twoPlucks(t))})
	var p *process
	for _, seconds := range []string{"12", "60"} { // a machine that is busy needs longer
		p = start(t, rig, "calibrate", "clock", "--input", soundrig.Default, "--seconds", seconds, "--system-ppm", "0.1", "--json")
		if p.end() == codeDone {
			break
		}
		t.Logf("%s s: %s", seconds, p.errs.String())
	}
	if code := p.end(); code != codeDone {
		t.Fatalf("exit code %d", code)
	}
	var e calib.Entry
	if err := json.Unmarshal(p.out.Bytes(), &e); err != nil {
		t.Fatal(err)
	}
	t.Logf("%s: %.2f ppm, u %.2f", e.Name, e.Value, e.U)
	if math.Abs(e.Value) > 3*e.U || e.U > 60 || strings.Contains(e.Name, "ALSA") {
		t.Errorf("kept %+v", e)
	}
	p = start(t, rig, "tension", "--scale", "34in", "--unit-weight", "18g/m", "--input", soundrig.Default, "--seconds", "2.2")
	if code := p.end(); code != codeDone || !strings.Contains(p.out.String(), e.Name+", calibrated on ") {
		t.Errorf("exit code %d: %s%s", code, p.out.String(), p.errs.String())
	}
}

// A simulated instrument, plucked in random order, through a sound server: the program is
// killed midway, and the next one goes on from what was kept and ends by itself.
func TestMicrophoneSurvey(t *testing.T) {
	t.Parallel()
	it := fourStrings()
	file := filepath.Join(t.TempDir(), "s.db")
	if err := it.keep(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	order := it.random.Perm(4)
	// The rig plays from the beginning to each who listens.
	rig := soundrig.Start(t, soundrig.Options{Play: float32s(it.inTurn(t, 2.7, true, order...))})
	args := []string{"survey", "it", "--stock", file, "--session", "a", "--ends", "pinned", "--json", "--input", soundrig.Default}
	p := start(t, rig, args...)
	p.await(t)
	for end := time.Now().Add(30 * time.Second); len(plucksOf(t, file, "a")) < 2; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("nothing is kept: %s", p.errs.String())
		}
	}
	p.Process.Kill()
	p.end()
	kept := len(plucksOf(t, file, "a"))
	p = start(t, rig, args...)
	if code := p.end(); code != codeDone || !strings.Contains(p.errs.String(), fmt.Sprintf(`continuing the session "a": %d plucks, 2 of 4 done`, kept)) {
		t.Fatalf("exit code %d: %s", code, p.errs.String())
	}
	_, plucks, answer := sounds(t, p.out.String())
	for i, x := range plucks {
		if got := x["survey"].(map[string]any)["position"]; got != float64(order[i]+1) {
			t.Errorf("pluck %d is of %v, not of %d", i+1, got, order[i]+1)
		}
	}
	it.agrees(t, answer, 0, 1, 2, 3)
	// How long it takes from a pluck to its answer is told, and depends on the machine.
	seconds := 0.0
	for line := range strings.Lines(p.out.String()) {
		var v struct {
			Live struct {
				Seconds float64
				Pluck   *struct {
					Start float64 `json:"start_s"`
				}
			}
		}
		if err := json.Unmarshal([]byte(line), &v); err != nil {
			t.Fatal(err)
		}
		if v.Live.Pluck != nil {
			t.Logf("good %.1f s after the pluck", seconds-v.Live.Pluck.Start)
		} else if v.Live.Seconds > 0 {
			seconds = v.Live.Seconds
		}
	}
}
