package main

import (
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"golang.org/x/sys/unix"

	"pluckweigh/audio/synth"
	"pluckweigh/stock"
)

// A seat is a terminal with the program on it, and somebody who looks.
type seat struct {
	t      *testing.T
	cmd    *exec.Cmd
	tty    *os.File // where keys are pressed
	slave  *os.File
	before unix.Termios
	mu     sync.Mutex
	sees   *vt.Emulator
	raw    strings.Builder
	read   chan struct{}
}

// sit runs the program on a terminal of 80 by 24.
func sit(t *testing.T, wav string, env []string, args ...string) *seat {
	t.Helper()
	m, s, err := pty.Open()
	if err != nil {
		t.Skip(err)
	}
	pty.Setsize(m, &pty.Winsize{Rows: 24, Cols: 80})
	before, err := unix.IoctlGetTermios(int(s.Fd()), unix.TCGETS)
	if err != nil {
		t.Fatal(err)
	}
	w := &seat{t: t, tty: m, slave: s, before: *before, sees: vt.NewEmulator(80, 24), read: make(chan struct{})}
	w.cmd = exec.Command("pluckweigh-fake", args...)
	w.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "NO_COLOR=1", "PLUCKWEIGH_FAKE="+wav, "XDG_DATA_HOME="+t.TempDir(), "XDG_CONFIG_HOME="+t.TempDir())
	w.cmd.Env = append(w.cmd.Env, env...)
	w.cmd.Stdin, w.cmd.Stdout, w.cmd.Stderr = s, s, s
	w.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := w.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.cmd.Process.Kill(); m.Close(); s.Close(); w.sees.InputPipe().(io.Closer).Close() })
	go io.Copy(m, w.sees) // what a terminal answers to what it is asked
	go func() {
		defer close(w.read)
		io.Copy(io.MultiWriter(w, &w.raw), m)
	}()
	return w
}

// Write shows what the program writes.
func (w *seat) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.sees.Write(p)
}

func (w *seat) screen() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.sees.String()
}

// other tells whether it is the other screen that is seen, not that of the shell.
func (w *seat) other() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.sees.IsAltScreen()
}

func (w *seat) resize(wide, high int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	pty.Setsize(w.tty, &pty.Winsize{Rows: uint16(high), Cols: uint16(wide)})
	w.sees.Resize(wide, high)
}

// until waits until the screen has all of some texts.
func (w *seat) until(texts ...string) {
	w.t.Helper()
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		missing := ""
		for _, x := range texts {
			if !strings.Contains(w.screen(), x) {
				missing = x
			}
		}
		if missing == "" {
			return
		}
		if time.Since(began) > 40*time.Second {
			w.t.Fatalf("no %q on\n%s", missing, w.screen())
		}
	}
}

// end waits for the program, wants the terminal to be as it was, and returns the exit code
// and what it wrote once the screen was gone.
func (w *seat) end() (int, string) {
	w.t.Helper()
	w.cmd.Wait()
	after, err := unix.IoctlGetTermios(int(w.slave.Fd()), unix.TCGETS)
	if err != nil {
		w.t.Fatal(err)
	}
	if *after != w.before {
		w.t.Errorf("the terminal was %+v and is %+v", w.before, *after)
	}
	for began := time.Now(); w.other() && time.Since(began) < 5*time.Second; {
		time.Sleep(10 * time.Millisecond)
	}
	if w.other() {
		w.t.Error("the screen is still there")
	}
	w.slave.Close()
	<-w.read
	if strings.LastIndex(w.raw.String(), "\x1b[?25h") < strings.LastIndex(w.raw.String(), "\x1b[?25l") {
		w.t.Error("the cursor stays hidden")
	}
	if c := regexp.MustCompile("\x1b\\[[0-9;]*m").FindString(w.raw.String()); c != "" {
		w.t.Errorf("it is coloured: %q", c)
	}
	_, rest, _ := strings.Cut(w.raw.String(), "\x1b[?1049l")
	return w.cmd.ProcessState.ExitCode(), rest
}

func twoPlucksFile(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "take.wav")
	if err := writeTake(name, 48000, twoPlucks(t)); err != nil {
		t.Fatal(err)
	}
	return name
}

var tensionArgs = []string{"tension", "--scale", "34in", "--unit-weight", "18g/m"}

// A string is plucked twice before a terminal, and q is pressed.
func TestScreenOfTension(t *testing.T) {
	onceOnly(t)
	t.Parallel()
	w := sit(t, twoPlucksFile(t), nil, tensionArgs...)
	w.until("pluckweigh tension", "it rings, near A1", "let it ring")
	w.until("tension 1", "N (k = 2)", "██", "partials against the law", "► ")
	w.resize(50, 15)
	w.until("▀▀█", "q or Ctrl-C ends it")
	if !w.other() {
		t.Error("it is not on the other screen")
	}
	time.Sleep(3 * time.Second) // the second pluck
	w.tty.Write([]byte("q"))
	code, out := w.end()
	for _, want := range []string{"pluck 1 at 0.5 s: A1", "pluck 2 at 2.5 s: A1", "2 of 2 can be trusted", "tension  "} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in %q", want, out)
		}
	}
	if code != codeDone {
		t.Errorf("exit code %d", code)
	}
}

// A string under a known pull is weighed before a terminal.
func TestScreenOfWeigh(t *testing.T) {
	onceOnly(t)
	t.Parallel()
	w := sit(t, twoPlucksFile(t), nil, "weigh", "--scale", "34in", "--pull", "160N±1N")
	w.until("pluckweigh weigh", "caution")
	w.until("unit weight 1", "g/m (k = 2)", "██", "partials against the law")
	w.tty.Write([]byte("q"))
	if code, out := w.end(); code != codeDone || !strings.Contains(out, "unit weight  1") {
		t.Errorf("exit code %d, %q", code, out)
	}
}

// Ctrl-C as a key and a signal from elsewhere end it with what was heard so far.
func TestScreenEnds(t *testing.T) {
	for name, end := range map[string]func(*seat){
		"Ctrl-C":  func(w *seat) { w.tty.Write([]byte{3}) },
		"SIGTERM": func(w *seat) { w.cmd.Process.Signal(syscall.SIGTERM) },
		"SIGINT":  func(w *seat) { w.cmd.Process.Signal(syscall.SIGINT) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := sit(t, twoPlucksFile(t), nil, "listen")
			w.until("A1 ", "first partial", "f0 5")
			end(w)
			if code, out := w.end(); code != codeDone || !strings.Contains(out, "pluck 1 at 0.5 s: A1") || !strings.Contains(out, "can be trusted") {
				t.Errorf("exit code %d, %q", code, out)
			}
		})
	}
}

// Whoever presses it twice has the terminal back.
func TestScreenEndsAtOnce(t *testing.T) {
	t.Parallel()
	w := sit(t, twoPlucksFile(t), nil, "listen")
	w.until("pluck the string once")
	w.tty.Write([]byte("qq"))
	if code, out := w.end(); code != codeUntrusted || !strings.Contains(out, "nothing was heard") {
		t.Errorf("exit code %d, %q", code, out)
	}
}

func TestScreenIsTakenAwayByPanics(t *testing.T) {
	for _, where := range []string{"reading", "measuring"} {
		t.Run(where, func(t *testing.T) {
			t.Parallel()
			w := sit(t, twoPlucksFile(t), []string{"PLUCKWEIGH_PANIC=" + where}, "listen")
			w.until("it rings")
			if code, out := w.end(); code != 2 || !strings.Contains(out, "panic: "+where) {
				t.Errorf("exit code %d, %q", code, out)
			}
		})
	}
}

// Where no screen can be drawn, or none is wanted, there are lines as ever.
func TestLinesInPlaceOfAScreen(t *testing.T) {
	for name, c := range map[string]struct{ env, flag string }{
		"TERM=dumb": {"TERM=dumb", "--near=A1"},
		"--lines":   {"TERM=xterm", "--lines"},
		"--json":    {"TERM=xterm", "--json"},
		"--verbose": {"TERM=xterm", "--verbose"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := sit(t, twoPlucksFile(t), []string{c.env}, "listen", "--seconds", "1.5", c.flag)
			code, _ := w.end()
			if out := w.raw.String(); code != codeDone || strings.Contains(out, "\x1b") || !strings.Contains(out, "listening at 48000 Hz") {
				t.Errorf("exit code %d, %q", code, out)
			}
		})
	}
}

// Strings are ticked off on the screen, which ends by itself when all are good; the answer
// stands below it then.
func TestScreenOfSurvey(t *testing.T) {
	onceOnly(t)
	t.Parallel()
	file, wav := filepath.Join(t.TempDir(), "s.db"), filepath.Join(t.TempDir(), "plucks.wav")
	it := fourStrings()
	if err := it.keep(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	if err := writeTake(wav, 48000, it.inTurn(t, 2.7, true, 2, 0, 3, 1)); err != nil {
		t.Fatal(err)
	}
	w := sit(t, wav, nil, "survey", "it", "--stock", file, "--ends", "pinned")
	w.until("0 of 4 done", "1 G2  not heard", "pluck 1 G2 or 2 D2 or 3 A1 or 4 E1")
	w.until("> 3 A1  ✓ good", "3 A1 pulls ", "██", "1 of 4 done")
	w.until("> 1 G2  ✓ good", "  3 A1  ✓ good", "2 of 4 done, left: 2 D2, 4 E1")
	code, out := w.end()
	for _, want := range []string{"pluck 1 at 0.5 s: 3 A1", "4 of 4 done", "total "} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in %q", want, out)
		}
	}
	if code != codeDone {
		t.Errorf("exit code %d", code)
	}
}

// Both strings of a course are ticked off by one stroke.
func TestScreenOfCourse(t *testing.T) {
	onceOnly(t)
	t.Parallel()
	file, wav := filepath.Join(t.TempDir(), "s.db"), filepath.Join(t.TempDir(), "stroke.wav")
	for _, call := range [][]string{{"add", "A", "--unit-weight", "17.7g/m±0.5%"}, {"add", "twin", "--position", "864mm:A1", "--position", "864mm:A1"}, {"string", "twin", "A", "A"}} {
		reportRun(t, append([]string{"stock", "--stock", file}, call...)...)
	}
	p := synth.Pluck{At: 0.5, Height: 0.001, Point: 0.17, Width: 0.01}
	take := synth.Take{String: synth.FromPitch(54.6, 5e-5), Plucks: []synth.Pluck{p}, Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.11}, Rate: 48000, Seconds: 5, Level: -12,
		Noise: []synth.Noise{{DB: 30}}, Neighbors: []synth.Neighbor{{String: synth.FromPitch(55.8, 5e-5), Pluck: p}}}
	x, _, err := take.Render()
	if err == nil {
		err = writeTake(wav, 48000, x)
	}
	if err != nil {
		t.Fatal(err)
	}
	w := sit(t, wav, nil, "survey", "twin", "--stock", file)
	w.until("0 of 2 done", "1 A1  not heard")
	code, out := w.end()
	for _, want := range []string{"pluck 1 at 0.5 s: 1 A1  -12.", "  and 2 A1  +25.", "2 of 2 done"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in %q", want, out)
		}
	}
	if code != codeDone {
		t.Errorf("exit code %d", code)
	}
}

// A string that is watched already: its course is there at once, and goes on with a pluck.
func TestScreenOfSettle(t *testing.T) {
	onceOnly(t)
	t.Parallel()
	file := filepath.Join(t.TempDir(), "s.db")
	st, err := stock.Open(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	begun := time.Now().Add(-time.Hour)
	for i := range 30 {
		minutes := 2 * float64(i)
		hz := 55 * math.Exp2((4-3.4*math.Log1p(minutes/12)+0.05*math.Sin(float64(7*i)))/1200)
		at := begun.Add(time.Duration(minutes * float64(time.Minute)))
		if err := st.KeepPitches(t.Context(), "low A", stock.Pitch{At: at, Hz: hz, U: 0.001, Temperature: math.NaN()}); err != nil {
			t.Fatal(err)
		}
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	w := sit(t, twoPlucksFile(t), nil, "settle", "--session", "low A", "--stock", file)
	w.until("of 30 readings", "within 1 cent for 60 min: ", "░", "┊", "cents above A1", "██")
	w.until("of 32 readings")
	w.tty.Write([]byte{3})
	if code, out := w.end(); code != codeDone || !strings.Contains(out, "low A: 32 readings in ") || !strings.Contains(out, "pluck 2 at 2.5 s") {
		t.Errorf("exit code %d, %q", code, out)
	}
}
