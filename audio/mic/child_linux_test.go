//go:build cgo && !nomic

package mic

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/mic/soundrig"
)

// childJob, when set, makes the test binary do one job in a process of its own,
// where its standard error, its death and a hanging library can be watched.
const childJob = "PLUCKWEIGH_MIC_JOB"

func TestMain(m *testing.M) {
	if job := os.Getenv(childJob); job != "" {
		json.NewEncoder(os.Stdout).Encode(jobs[job](context.Background()))
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// An outcome is what a job has to say.
type outcome struct {
	Devices  []Device
	Samples  int
	Flaws    []audio.Flaw
	Err      string // from Open or the last Read
	Hint     string
	Kinds    []string  // which of the kinds below Err is
	ErrAt    time.Time // when Read returned Err
	CloseErr string
	CloseFor time.Duration
}

var kinds = map[string]error{"deadline": context.DeadlineExceeded, "no device": ErrNoDevice, "cannot start": ErrCannotStart, "died": ErrDied, "stuck": ErrStuck}

func (o *outcome) fail(err error) {
	if err == nil {
		return
	}
	o.Err = err.Error()
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		o.Hint = hinted.Hint()
	}
	for name, kind := range kinds {
		if errors.Is(err, kind) {
			o.Kinds = append(o.Kinds, name)
		}
	}
}

var jobs = map[string]func(context.Context) outcome{
	"devices": func(ctx context.Context) (o outcome) {
		var err error
		o.Devices, err = Devices(ctx, false)
		o.fail(err)
		return o
	},
	"verbose devices": func(ctx context.Context) (o outcome) {
		var err error
		o.Devices, err = Devices(ctx, true)
		o.fail(err)
		return o
	},
	// With a server that does not answer, a context's end is all that helps.
	"impatient": func(ctx context.Context) (o outcome) {
		ctx, cancel := context.WithTimeout(ctx, 500*time.Millisecond)
		defer cancel()
		_, err1 := Open(ctx, Options{})
		_, err2 := Devices(ctx, false) // the library is still stuck in the first
		o.fail(errors.Join(err1, err2))
		return o
	},
	// Own words must come through while the libraries' are kept away.
	"speak": func(ctx context.Context) (o outcome) {
		src, err := Open(ctx, Options{})
		if err != nil {
			o.fail(err)
			return o
		}
		defer src.Close()
		fmt.Fprintln(os.Stderr, "spoken")
		println("printed")
		return o
	},
	// Says a line on standard output when it hears, then listens to the end.
	"record": func(ctx context.Context) (o outcome) {
		src, err := Open(ctx, Options{})
		if err != nil {
			o.fail(err)
			return o
		}
		fmt.Println("hears")
		buf := make([]float64, 4096)
		for err == nil {
			var n int
			n, err = src.Read(ctx, buf)
			o.Samples += n
		}
		o.ErrAt = time.Now()
		o.fail(err)
		o.Flaws = src.Flaws()
		if err := src.Close(); err != nil {
			o.CloseErr = err.Error()
		}
		o.CloseFor = time.Since(o.ErrAt)
		return o
	},
}

// child starts a job in the rig's environment.
func child(t *testing.T, r *soundrig.Rig, job string) (cmd *exec.Cmd, stdout, stderr *bytes.Buffer) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 25*time.Second)
	t.Cleanup(cancel)
	cmd = exec.CommandContext(ctx, self)
	cmd.Env = append(r.Env(), childJob+"="+job)
	stdout, stderr = new(bytes.Buffer), new(bytes.Buffer)
	cmd.Stderr = stderr
	return cmd, stdout, stderr
}

// run does a whole job and returns what it said and its standard error.
func run(t *testing.T, r *soundrig.Rig, job string) (outcome, string) {
	t.Helper()
	cmd, stdout, stderr := child(t, r, job)
	cmd.Stdout = stdout
	if err := cmd.Run(); err != nil {
		t.Fatalf("the job %q ended with %v:\n%s", job, err, stderr)
	}
	return parse(t, stdout.Bytes()), stderr.String()
}

func parse(t *testing.T, line []byte) outcome {
	t.Helper()
	var o outcome
	if err := json.Unmarshal(line, &o); err != nil {
		t.Fatalf("%v in %q", err, line)
	}
	return o
}
