//go:build cgo && !nomic

package main

import (
	"bufio"
	"bytes"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/mic/soundrig"
	"pluckweigh/detect/detecttest"
)

// A process is the program, running.
type process struct {
	*exec.Cmd
	out    bytes.Buffer
	errs   bytes.Buffer
	begun  chan struct{} // closed when it says that it listens
	copied sync.WaitGroup
}

// start runs the program on a rig.
func start(t *testing.T, r *soundrig.Rig, args ...string) *process {
	t.Helper()
	return startSeen(t, r, func(string) {}, args...)
}

// startSeen is start for one that looks at what goes to standard error, by lines.
func startSeen(t *testing.T, r *soundrig.Rig, see func(line string), args ...string) *process {
	t.Helper()
	return startIn(t, r.Env(), see, args...)
}

// startIn is that in an environment.
func startIn(t *testing.T, env []string, see func(line string), args ...string) *process {
	t.Helper()
	p := &process{Cmd: exec.Command("pluckweigh", args...), begun: make(chan struct{})}
	p.Env, p.Stdout = env, &p.out
	pipe, err := p.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Process.Kill() })
	p.copied.Go(func() {
		lines := bufio.NewReader(io.TeeReader(pipe, &p.errs))
		for begun := false; ; {
			line, err := lines.ReadString('\n')
			see(line)
			if strings.HasPrefix(line, "listening") && !begun {
				begun = true
				close(p.begun)
			}
			if err != nil {
				return
			}
		}
	})
	return p
}

// end waits for the program and returns its exit code.
func (p *process) end() int {
	p.copied.Wait()
	p.Wait() // the code says it too
	return p.ProcessState.ExitCode()
}

func (p *process) await(t *testing.T) {
	t.Helper()
	select {
	case <-p.begun:
	case <-time.After(20 * time.Second):
		t.Fatalf("it does not begin to listen: %s", p.errs.String())
	}
}

// bassNote is a real recorded note of a bass.
func bassNote(t *testing.T) detecttest.Note {
	t.Helper()
	notes, err := detecttest.Notes()
	detecttest.Need(t, err)
	for _, n := range notes {
		if n.FretLaw && !n.Clipped && n.Seconds() > 2 {
			return n
		}
	}
	t.Fatal("no note of two seconds and more")
	return detecttest.Note{}
}

// play is so many seconds, the first half of one silent, then the note: as a file and as
// what the rig plays.
func play(t *testing.T, n detecttest.Note, seconds float64) (path string, rig []float32) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "note.wav")
	x := append(make([]float64, int(n.Rate/2)), n.Samples...)[:int(seconds*n.Rate)]
	w, err := audio.Create(path, n.Rate)
	if err == nil {
		err = w.Write(x)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range x {
		rig = append(rig, float32(v))
	}
	return path, rig
}

func float32s(x []float64) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(v)
	}
	return y
}
