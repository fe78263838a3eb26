package main

import (
	"bytes"
	"context"
	"io"
	"math"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pluckweigh/audio"
)

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
