package main

import (
	"context"
	"errors"
	"os"
	"strings"
	"testing"
)

// shownUntil reads what a status line shows until done is content with it.
func shownUntil(t *testing.T, r *os.File, done func(string) bool) string {
	t.Helper()
	var all strings.Builder
	buf := make([]byte, 256)
	for !done(all.String()) {
		n, err := r.Read(buf)
		if err != nil {
			t.Fatalf("%v after %q", err, all.String())
		}
		all.Write(buf[:n])
	}
	return all.String()
}

// slow is ears that go on measuring until release is closed, and a status line
// that shown reads.
func slow(t *testing.T) (e *ears, rec *recording, p *progress, shown *os.File, release chan struct{}) {
	t.Helper()
	shown, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close(); shown.Close() })
	release = make(chan struct{})
	e = &ears{reference: frequency{hz: 440}, judge: judge{kind: ofTension, work: func(heard) (*figure, error) {
		<-release
		return &figure{}, nil
	}}}
	rec = &recording{rate: 48000, samples: twoPlucks(t)[:2*48000]}
	return e, rec, &progress{line: &statusLine{f: w}, which: "take 1 of 2: "}, shown, release
}

func TestMeasuringIsShown(t *testing.T) {
	e, rec, p, shown, release := slow(t)
	go func() {
		defer close(release)
		const first, later = "\rtake 1 of 2: measuring 2 s of sound", ", for 1 s now"
		got := shownUntil(t, shown, func(s string) bool { return strings.Contains(s, later) })
		if !strings.HasPrefix(got, first+"\r") || strings.Count(got, first) < 3 {
			t.Errorf("shown: %q", got)
		}
	}()
	if a, err := p.measure(t.Context(), e, rec); err != nil || a.figure == nil {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestMeasuringIsGivenUp(t *testing.T) {
	e, rec, p, _, release := slow(t)
	defer close(release)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if a, err := p.measure(ctx, e, rec); a != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestReadingIsShown(t *testing.T) {
	_, rec, p, shown, _ := slow(t)
	for range 1000 {
		p.read(rec)
	}
	p.line.clear()
	const want = "\rtake 1 of 2: reading, 2 s so far"
	got := shownUntil(t, shown, func(s string) bool { return strings.HasSuffix(s, " \r") })
	if !strings.HasPrefix(got, want) {
		t.Errorf("shown: %q", got)
	}
}
