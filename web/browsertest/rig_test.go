// Package browsertest drives the page in a real browser: Debian's Chromium, whose
// microphone plays a file. It is a module of its own so that the main one stays light.
package browsertest

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"pluckweigh/audio"
	"pluckweigh/audio/synth"
)

// truth is an invented string.
var truth = synth.String{
	Length: 0.8636, Tension: 163.2, UnitWeight: 0.01834, Stiffness: 7.6e-4, AxialStiffness: 4.5e4,
	Decay: synth.Decay{Base: 0.9, Rise: 4},
}

// asked is the page's address when the string is known.
const asked = "length=863.6mm%C2%B10.1mm&unit_weight=18.34g/m%C2%B10.1%25&ends=pinned"

// record leaves a take of the string where a browser takes it for its microphone, which
// runs at 44.1 kHz and may garble the first moments.
func record(t *testing.T) string {
	t.Helper()
	x, _, err := synth.Take{
		String: truth,
		Plucks: []synth.Pluck{{At: 2, Height: 0.002, Point: 0.17, Width: 0.012}, {At: 4.8, Height: 0.0015, Point: 0.21, Width: 0.012}},
		Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.12},
		Rate:   44100, Seconds: 8.5, Level: -9, Noise: []synth.Noise{{Color: synth.Pink, DB: 40}}, Seed: 1,
	}.Render()
	if err != nil {
		t.Fatal(err)
	}
	return takeOf(t, x)
}

// takeOf leaves samples there.
func takeOf(t *testing.T, x []float64) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "take.wav")
	w, err := audio.Create(name, 44100)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Write(x); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return name
}

var program string

func TestMain(m *testing.M) {
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "pluckweigh")
		if err != nil {
			panic(err)
		}
		defer os.RemoveAll(dir)
		program = filepath.Join(dir, "pluckweigh")
		build := exec.Command("go", "build", "-o", program, "./cmd/pluckweigh")
		build.Dir = filepath.Join("..", "..")
		build.Env = append(os.Environ(), "CGO_ENABLED=0")
		if out, err := build.CombinedOutput(); err != nil {
			fmt.Fprintf(os.Stderr, "%v\n%s", err, out)
			return 1
		}
		return m.Run()
	}())
}

// serve runs the program until the test ends, and returns the page's address.
func serve(t *testing.T, args ...string) string {
	t.Helper()
	_, address := serveAt(t, "127.0.0.1:0", args...)
	return address
}

// homes are the users' data folders, by the name of the test.
var homes sync.Map

// serveAt does so at an address, and returns how to end it sooner too.
func serveAt(t *testing.T, at string, args ...string) (stop func(), address string) {
	t.Helper()
	c := exec.Command(program, append([]string{"serve", "--address", at}, args...)...)
	data, _ := homes.LoadOrStore(t.Name(), t.TempDir())
	c.Env = append(os.Environ(), "XDG_DATA_HOME="+data.(string))
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	stop = sync.OnceFunc(func() {
		c.Process.Signal(os.Interrupt)
		if err := c.Wait(); err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(stop)
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	return stop, strings.TrimSpace(strings.TrimPrefix(line, "the page is at "))
}

// A tab is the page in a browser.
type tab struct {
	*testing.T
	ctx   context.Context
	quiet *atomic.Bool // the browser has reason to complain
}

// browse starts a browser whose microphone plays a file once, none for "", with further
// switches.
func browse(t *testing.T, sound string, more ...string) tab {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("PLUCKWEIGH_REQUIRE_TOOLS") == "1" {
			t.Fatal(err)
		}
		t.Skip("there is no chromium")
	}
	flags := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.WSURLReadTimeout(time.Minute)}
	for _, f := range append(more, "headless", "no-sandbox", "disable-gpu", "disable-quic", "no-first-run", "disable-background-networking",
		"disable-component-update", "disable-sync", "disable-dev-shm-usage", "use-fake-ui-for-media-stream", "hide-scrollbars") {
		flags = append(flags, chromedp.Flag(f, true))
	}
	flags = append(flags, chromedp.Flag("autoplay-policy", "no-user-gesture-required"), chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND , EXCLUDE 127.0.0.1"))
	if sound != "" {
		flags = append(flags, chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-file-for-fake-audio-capture", sound+"%noloop"))
	}
	alloc, end := chromedp.NewExecAllocator(context.Background(), flags...)
	t.Cleanup(end)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	b := tab{t, ctx, new(atomic.Bool)}
	b.do(chromedp.Navigate("about:blank"))
	b.watch()
	return b
}

// another is a further tab of the same browser.
func (b tab) another() tab {
	b.Helper()
	ctx, cancel := chromedp.NewContext(b.ctx)
	b.Cleanup(cancel)
	n := tab{b.T, ctx, new(atomic.Bool)}
	n.do(chromedp.Navigate("about:blank"))
	n.watch()
	return n
}

// watch fails the test for what the browser complains of.
func (b tab) watch() {
	messages := chromedp.Console(b.ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			if b.quiet.Load() {
				continue
			}
			if m.Type == "error" || m.Type == "warning" || m.IsException() {
				b.Errorf("the browser says: %s", m)
			}
		}
	}()
}

func (b tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.Fatal(err)
	}
}

func run[T any](b tab, a chromedp.Action[T]) T {
	b.Helper()
	v, err := chromedp.Run(b.ctx, a)
	if err != nil {
		b.Fatal(err)
	}
	return v
}

// js is what an expression comes to, promises awaited.
func js[T any](b tab, expression string) T {
	b.Helper()
	return run(b, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// text is that of an element.
func (b tab) text(id string) string {
	b.Helper()
	return js[string](b, fmt.Sprintf("document.getElementById(%q).textContent", id))
}

// enter types a text in place of what is there.
func (b tab) enter(id, text string) {
	b.Helper()
	js[bool](b, fmt.Sprintf("document.getElementById(%q).select(), true", id))
	b.do(chromedp.SendKeys("#"+id, text))
}

// until waits until an expression is true.
func (b tab) until(expression string) {
	b.Helper()
	for end := time.Now().Add(40 * time.Second); !js[bool](b, "!!("+expression+")"); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			b.Fatalf("it does not come to %s; the page says %q, %q", expression, b.text("state"), b.text("trouble"))
		}
	}
}

// picture keeps how the page looks where PLUCKWEIGH_PICTURES names a folder.
func (b tab) picture(name string) {
	b.Helper()
	dir := os.Getenv("PLUCKWEIGH_PICTURES")
	if dir == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), run(b, chromedp.FullScreenshot(100)), 0o644); err != nil {
		b.Fatal(err)
	}
}
