package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pluckweigh/stock"
)

// A patient microphone goes on with silence after its samples until it is enough.
type patient struct {
	fakeMic
	enough func() bool
	since  time.Time
}

func (m *patient) Read(ctx context.Context, dst []float64) (int, error) {
	if len(m.samples) > 0 {
		m.since = time.Now()
		return m.fakeMic.Read(ctx, dst)
	}
	if m.enough() || time.Since(m.since) > time.Minute {
		m.then()
	}
	time.Sleep(time.Millisecond)
	clear(dst)
	return len(dst), ctx.Err()
}

// pitchesOf are what a session has, as another program sees it.
func pitchesOf(t *testing.T, file, session string) []stock.Pitch {
	t.Helper()
	return keptIn(t, file, func(s *stock.Store) ([]stock.Pitch, error) { return s.Pitches(context.Background(), session) })
}

// keptIn are those that get finds in a file, none where it or what is asked for is missing.
func keptIn[T any](t *testing.T, file string, get func(*stock.Store) ([]T, error)) []T {
	t.Helper()
	s, err := stock.OpenToRead(context.Background(), file)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all, err := get(s)
	if err != nil && !isMissing(err) {
		t.Fatal(err)
	}
	return all
}

// Each pluck is in the file while the microphone is still listened to, so that a crash
// costs nothing; Ctrl-C ends it with the answer, and the next call goes on.
func TestSettleLive(t *testing.T) {
	file := filepath.Join(t.TempDir(), "s.db")
	begun := time.Now()
	live := func(want int, args ...string) (stdout, stderr string, code int) {
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		m := &patient{fakeMic: fakeMic{samples: twoPlucks(t), then: stop}}
		m.enough = func() bool { return len(pitchesOf(t, file, "low A")) == want }
		args = append([]string{"settle", "--session", "low A", "--stock", file}, args...)
		stdout, stderr, code = runMic(ctx, m, args...)
		if !m.closed {
			t.Error("the microphone was left open")
		}
		return stdout, stderr, code
	}
	stdout, stderr, code := live(2, "--temperature", "21.5°C")
	all := pitchesOf(t, file, "low A")
	if len(all) != 2 {
		t.Fatalf("%d are kept", len(all))
	}
	// Two plucks are too few for an answer, and are kept.
	if code != codeUntrusted || !strings.Contains(stderr, "2 readings are too few to say whether the pitch stays") ||
		!strings.Contains(stderr, `each pluck is kept at once in the session "low A"`) || !strings.Contains(stdout, "pluck 2 at 2.5 s: A1") {
		t.Errorf("exit code %d\n%s\n%s", code, stdout, stderr)
	}
	if d := all[1].At.Sub(all[0].At).Seconds(); math.Abs(d-2) > 0.1 {
		t.Errorf("plucked %v s apart, not 2", d)
	}
	// The first pluck is half a second into a sound that comes in faster than it was plucked.
	if at := all[0].At; at.Before(begun.Add(-10*time.Second)) || at.After(time.Now().Add(time.Second)) {
		t.Errorf("plucked at %v, of a call at %v", at, begun)
	}
	if all[0].Temperature != 21.5 || math.Abs(all[0].Hz-55) > 0.01 || all[0].U > 0.01 {
		t.Errorf("kept as %+v", all[0])
	}
	stdout, stderr, code = live(4, "--json", "--within", "5cents", "--for", "2s")
	if code != codeDone || !strings.Contains(stderr, `continuing the session "low A": 2 readings since `) {
		t.Errorf("exit code %d\n%s", code, stderr)
	}
	_, plucks, answer := sounds(t, stdout)
	if len(plucks) != 2 || answer["session"] != "low A" || len(answer["readings"].([]any)) != 4 {
		t.Errorf("%d plucks, answer %v", len(plucks), answer)
	}
	// What nobody watched for is not counted as an event of theirs.
	time.Sleep(3 * time.Second) // the plucks above came in faster than they were plucked
	_, stderr, code = live(6, "--event", "now")
	if code != codeUntrusted || !strings.Contains(stderr, "4 readings before the event and 2 after it") {
		t.Errorf("exit code %d\n%s", code, stderr)
	}
}

// Without a name a session has that of the moment, and is told.
func TestSettleLiveNameless(t *testing.T) {
	t.Setenv(stockEnv, filepath.Join(t.TempDir(), "s.db"))
	begun := time.Now()
	ctx, stop := context.WithCancel(t.Context())
	_, stderr, code := runMic(ctx, &fakeMic{samples: make([]float64, 48000), then: stop}, "settle")
	if code != codeUntrusted || !strings.Contains(stderr, fmt.Sprintf("kept at once in the session \"%s ", begun.Format(time.DateOnly))) ||
		!strings.Contains(stderr, "no reading can be trusted") {
		t.Errorf("exit code %d\n%s", code, stderr)
	}
}

// A microphone that fails is said, and what was heard before is kept and told.
func TestSettleLiveFails(t *testing.T) {
	file := filepath.Join(t.TempDir(), "s.db")
	_, stderr, code := runMic(t.Context(), &fakeMic{samples: twoPlucks(t), err: errors.New("the plug was pulled")}, "settle", "--session", "A", "--stock", file)
	if n := len(pitchesOf(t, file, "A")); code != codeFailed || n != 2 || !strings.Contains(stderr, "the plug was pulled") {
		t.Errorf("exit code %d, %d kept\n%s", code, n, stderr)
	}
}

// Listening goes on for longer than a take is kept, and old sound is forgotten.
func TestEndless(t *testing.T) {
	const rate = 100
	e := &ears{endless: true}
	long := make([]float64, 1000*rate)
	for i := range long {
		long[i] = float64(i)
	}
	rec := &recording{rate: rate}
	src := &slowRate{fakeMic{samples: long, err: io.EOF}}
	if err := e.record(t.Context(), src, rec, nil, nil, &progress{line: &statusLine{}}); err != nil {
		t.Fatal(err)
	}
	if rec.seconds() != 1000 || len(rec.samples) > 2*recentSeconds*rate {
		t.Errorf("%v s, of which %d samples are kept", rec.seconds(), len(rec.samples))
	}
	if p := rec.part(990, 991); len(p.samples) != rate || p.samples[0] != 990*rate {
		t.Errorf("%d samples from %v", len(p.samples), p.samples[0])
	}
	if p := rec.part(1, 2); len(p.samples) != 0 {
		t.Errorf("%d samples of what is gone", len(p.samples))
	}
}

type slowRate struct{ fakeMic }

func (s *slowRate) Rate() float64 { return 100 }
