package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"path/filepath"
	"reflect"
	"strings"
	"syscall"
	"testing"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
)

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
