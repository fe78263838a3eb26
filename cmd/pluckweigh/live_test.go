package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"path/filepath"
	"reflect"
	"strings"
	"syscall"
	"testing"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/audio/synth"
)

// twoPlucks is what the microphone of these tests hears.
func twoPlucks(t *testing.T) []float64 {
	t.Helper()
	take := synth.Take{
		String: synth.FromPitch(55, 6e-5),
		Plucks: []synth.Pluck{
			{At: 0.5, Height: 0.001, Point: 0.17, Width: 0.01},
			{At: 2.5, Height: 0.001, Point: 0.2, Width: 0.01},
		},
		Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.11},
		Rate:   48000, Seconds: 4.5, Level: -9, Seed: 1,
		Noise: []synth.Noise{{DB: 35}},
	}
	x, _, err := take.Render()
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// A fakeMic plays samples, then calls then, and ends with err.
type fakeMic struct {
	samples []float64
	flaws   []audio.Flaw
	then    func()
	err     error
	closed  bool
}

func (m *fakeMic) Rate() float64       { return 48000 }
func (m *fakeMic) Flaws() []audio.Flaw { return m.flaws }
func (m *fakeMic) Close() error        { m.closed = true; return nil }

func (m *fakeMic) Read(ctx context.Context, dst []float64) (int, error) {
	if len(m.samples) == 0 && m.then != nil {
		m.then()
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	n := copy(dst, m.samples)
	m.samples = m.samples[n:]
	if n == 0 {
		return 0, m.err
	}
	return n, nil
}

// runLive runs a command on a microphone and returns what it wrote and its exit
// code.
func runLive(t *testing.T, ctx context.Context, m *fakeMic, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	var out, errs bytes.Buffer
	root := newRoot(streams{nil, &out, &errs, func(context.Context, mic.Options) (audio.Source, error) { return m, nil }})
	root.SetArgs(args)
	root.SetOut(&out)
	root.SetErr(&errs)
	err := root.ExecuteContext(ctx)
	report(&errs, err)
	if !m.closed {
		t.Error("the microphone was left open")
	}
	return out.String(), errs.String(), exitCode(err)
}

// sounds splits JSON lines into signs of life, plucks measured on the way, and
// the answer on the take.
func sounds(t *testing.T, stdout string) (signs, plucks []map[string]any, take map[string]any) {
	t.Helper()
	for line := range strings.Lines(stdout) {
		var v map[string]any
		if err := json.Unmarshal([]byte(line), &v); err != nil {
			t.Fatalf("%v in %s", err, line)
		}
		live, ok := v["live"].(map[string]any)
		switch {
		case !ok && take == nil:
			take = v
		case !ok || take != nil:
			t.Fatalf("unexpected %s", line)
		case live["pluck"] != nil:
			plucks = append(plucks, live)
		default:
			signs = append(signs, live)
		}
	}
	return signs, plucks, take
}

func TestLiveSaysWhatTheSavedFileSays(t *testing.T) {
	kept := filepath.Join(t.TempDir(), "kept.wav")
	m := &fakeMic{samples: twoPlucks(t), err: io.EOF}
	args := []string{"tension", "--scale", "34in", "--unit-weight", "18g/m", "--json"}
	stdout, stderr, code := runLive(t, t.Context(), m, append(args, "--input", "any", "--save", kept, "--seconds", "4.4")...)
	if code != codeDone {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	signs, plucks, take := sounds(t, stdout)
	last := math.Inf(-1)
	var named bool
	for _, s := range signs {
		now := s["seconds"].(float64)
		if now-last < 0.0999 {
			t.Errorf("signs of life at %g and %g s", last, now)
		}
		last = now
		named = named || s["note"] == "A1"
	}
	if len(signs) < 35 || !named {
		t.Errorf("%d signs of life in 4.4 s, the note among them: %t", len(signs), named)
	}
	if len(plucks) < 1 {
		t.Fatal("no pluck was measured on the way")
	}
	first := plucks[0]["pluck"].(map[string]any)
	if at := first["start_s"].(float64); math.Abs(at-0.5) > 0.05 || first["trusted"] != true || plucks[0]["tension"] == nil {
		t.Errorf("first pluck measured on the way: %v", plucks[0])
	}
	if n := take["seconds"].(float64); n != 4.4 {
		t.Errorf("heard %g s, not 4.4", n)
	}

	var out, errs bytes.Buffer
	if err := run(t.Context(), append(args, kept), nil, &out, &errs); exitCode(err) != codeDone {
		t.Fatalf("%v: %s", err, errs.String())
	}
	_, _, again := sounds(t, out.String())
	if !reflect.DeepEqual(take, again) {
		t.Errorf("live: %v\nfile: %v", take, again)
	}
}

func TestLiveForAPerson(t *testing.T) {
	m := &fakeMic{samples: twoPlucks(t), err: io.EOF}
	stdout, stderr, code := runLive(t, t.Context(), m, "listen")
	if code != codeDone {
		t.Errorf("exit code %d", code)
	}
	for _, want := range []string{"pluck 1 at 0.5 s: A1", "microphone: 4.5 s at 48000 Hz", "2 of 2 can be trusted"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("standard output lacks %q:\n%s", want, stdout)
		}
	}
	if stderr != "listening at 48000 Hz: pluck the string and let it ring; Ctrl-C ends it\n" {
		t.Errorf("standard error: %q", stderr)
	}
}

func TestLiveStopsWhenTold(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	m := &fakeMic{samples: twoPlucks(t)[:2*48000], then: stop}
	stdout, stderr, code := runLive(t, ctx, m, "listen", "--json")
	_, _, take := sounds(t, stdout)
	if code != codeDone || take == nil || take["reading"] == nil || take["seconds"].(float64) != 2 {
		t.Errorf("exit code %d, take %v, %s", code, take, stderr)
	}
}

func TestLiveDeviceDies(t *testing.T) {
	kept := filepath.Join(t.TempDir(), "kept.wav")
	m := &fakeMic{samples: twoPlucks(t)[:2*48000], err: mic.ErrDied}
	stdout, stderr, code := runLive(t, t.Context(), m, "listen", "--json", "--save", kept)
	_, _, take := sounds(t, stdout)
	if code != codeNoDevice || !strings.Contains(stderr, mic.ErrDied.Error()) || !strings.Contains(stderr, "\nhint: ") {
		t.Errorf("exit code %d, %s", code, stderr)
	}
	if take == nil || take["reading"] == nil {
		t.Errorf("what was heard before is lost: %v", take)
	}
	src, err := audio.Open(kept, audio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	if x, err := readAll(src); err != nil || len(x) != 2*48000 {
		t.Errorf("%d samples were kept, %v", len(x), err)
	}
}

func TestLiveNothingHeard(t *testing.T) {
	kept := filepath.Join(t.TempDir(), "kept.wav")
	for _, err := range []error{mic.ErrDied, mic.ErrNotOffered} {
		stdout, stderr, code := runLive(t, t.Context(), &fakeMic{err: err}, "listen", "--save", kept)
		if code != exitCode(err) || stdout != "" || !strings.Contains(stderr, err.Error()) {
			t.Errorf("exit code %d, %s%s", code, stdout, stderr)
		}
	}
	if _, err := audio.Open(kept, audio.Options{}); err == nil {
		t.Error("a take without sound was kept")
	}
}

// With --json a microphone that fails has its line too, with what was heard until
// then.
func TestLiveFailureHasItsLine(t *testing.T) {
	type object = map[string]any
	want := object{"say": mic.ErrDied.Error(), "hint": tellings(mic.ErrDied)[0].hint}
	for name, heard := range map[string][]float64{"nothing heard": nil, "a pluck heard": twoPlucks(t)[:2*48000]} {
		stdout, _, code := runLive(t, t.Context(), &fakeMic{samples: heard, err: mic.ErrDied}, "listen", "--json")
		_, _, take := sounds(t, stdout)
		if code != codeNoDevice || !reflect.DeepEqual(take["error"], want) {
			t.Errorf("%s: exit code %d, error %v", name, code, take["error"])
		}
		if take["take"] != nil || (take["reading"] != nil) != (heard != nil) || (len(take["plucks"].([]any)) > 0) != (heard != nil) {
			t.Errorf("%s: %v", name, take)
		}
	}
}

// A result that cannot be written ends the listening.
func TestLiveUnwritable(t *testing.T) {
	m := &silence{}
	out := &output{w: brokenPipe{}}
	root := newRoot(streams{nil, out, io.Discard, func(context.Context, mic.Options) (audio.Source, error) { return m, nil }})
	root.SetArgs([]string{"listen", "--json"})
	var lost unwritten
	if err := root.ExecuteContext(t.Context()); !errors.As(err, &lost) || !errors.Is(err, syscall.EPIPE) {
		t.Errorf("it ends with %v", err)
	}
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, syscall.EPIPE }

// Whoever stops reading is not told so.
func TestBrokenPipeIsQuiet(t *testing.T) {
	var errs bytes.Buffer
	err := run(t.Context(), []string{"weigh", "--mass", "9g", "--cut", "500mm"}, nil, brokenPipe{}, &errs)
	report(&errs, err)
	if errs.Len() > 0 || exitCode(err) != codeFailed {
		t.Errorf("exit code %d, %s", exitCode(err), errs.String())
	}
}

func TestLiveOverrunsAreDoubts(t *testing.T) {
	m := &fakeMic{samples: twoPlucks(t), err: io.EOF, flaws: []audio.Flaw{{Kind: audio.Overrun, At: 48000, Len: 480}}}
	stdout, _, code := runLive(t, t.Context(), m, "listen", "--json")
	_, _, take := sounds(t, stdout)
	if code != codeDone {
		t.Errorf("exit code %d", code)
	}
	if ds := take["doubts"].([]any); len(ds) != 1 || ds[0].(map[string]any)["code"] != "overrun" {
		t.Errorf("doubts %v", ds)
	}
	if p := take["plucks"].([]any); p[0].(map[string]any)["trusted"] != false || p[1].(map[string]any)["trusted"] != true {
		t.Errorf("plucks %v", p)
	}
}

// silence is a microphone that never ends.
type silence struct{ fakeMic }

func (s *silence) Rate() float64 { return 8000 }
func (s *silence) Read(ctx context.Context, dst []float64) (int, error) {
	clear(dst)
	return len(dst), ctx.Err()
}

func TestRecordIsBounded(t *testing.T) {
	for _, asked := range []seconds{0, 2 * mostSeconds, mostSeconds / 2} {
		e := &ears{seconds: asked}
		rec := &recording{rate: 8000}
		if err := e.record(t.Context(), &silence{}, rec, nil, nil, &progress{line: &statusLine{}}); err != nil {
			t.Fatal(err)
		}
		want, cut := mostSeconds*8000, true
		if asked == mostSeconds/2 {
			want, cut = want/2, false
		}
		if len(rec.samples) != want || rec.cut != cut {
			t.Errorf("--seconds %s: kept %d samples, cut %t", &asked, len(rec.samples), rec.cut)
		}
		if said := len(rec.doubts()) == 1; said != cut {
			t.Errorf("--seconds %s: doubts %v", &asked, rec.doubts())
		}
	}
}

func readAll(src audio.Source) ([]float64, error) {
	var all []float64
	buf := make([]float64, 4096)
	for {
		n, err := src.Read(context.Background(), buf)
		all = append(all, buf[:n]...)
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return all, err
		}
	}
}
