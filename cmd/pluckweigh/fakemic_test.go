package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"strings"
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
	stdout, stderr, code = runMic(ctx, m, args...)
	if !m.closed {
		t.Error("the microphone was left open")
	}
	return stdout, stderr, code
}

// runMic is runLive for any source.
func runMic(ctx context.Context, m audio.Source, args ...string) (stdout, stderr string, code int) {
	var out, errs bytes.Buffer
	root := newRoot(streams{nil, &out, &errs, func(context.Context, mic.Options) (audio.Source, error) { return m, nil }})
	root.SetArgs(args)
	root.SetOut(&out)
	root.SetErr(&errs)
	err := root.ExecuteContext(ctx)
	report(&errs, err)
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

// silence is a microphone that never ends.
type silence struct{ fakeMic }

func (s *silence) Rate() float64 { return 8000 }
func (s *silence) Read(ctx context.Context, dst []float64) (int, error) {
	clear(dst)
	return len(dst), ctx.Err()
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
