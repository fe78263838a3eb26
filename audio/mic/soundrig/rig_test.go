package soundrig

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
)

func TestRigEndsWithItsTest(t *testing.T) {
	var ended *Rig
	t.Run("rig", func(t *testing.T) {
		r := Start(t, Options{Play: []float32{1}, Rate: 32000, Channels: 2})
		ask := exec.Command("pactl", "list", "short", "sources")
		ask.Env = r.Env()
		out, err := ask.Output()
		if err != nil || !strings.Contains(string(out), "rig.monitor\tmodule-null-sink.c\tfloat32le 2ch 32000Hz") {
			t.Errorf("the server lists %q, %v", out, err)
		}
		ended = r
	})
	if ended == nil {
		t.Skip("no rig")
	}
	if err := ended.server.Process.Signal(syscall.Signal(0)); err == nil {
		t.Error("the server outlives its test")
	}
	if _, err := os.Stat(ended.dir); !os.IsNotExist(err) {
		t.Errorf("the folder outlives its test: %v", err)
	}
}

func TestNothingIsLeft(t *testing.T) {
	Clean(t, func(t *testing.T) {
		if !Start(t, Options{Play: []float32{1}}).answers() {
			t.Error("the server does not answer")
		}
		NoDevice(t)
	})
}

func TestKillAndFreeze(t *testing.T) {
	r := Start(t, Options{})
	r.Freeze()
	r.Kill()
	r.Kill() // twice does no harm
	if r.answers() {
		t.Error("a killed server answers")
	}
}

func TestEnvHidesOtherSound(t *testing.T) {
	t.Setenv("PULSE_SERVER", "tcp:elsewhere")
	env := NoDevice(t).Env()
	last := ""
	for _, e := range env {
		if strings.HasPrefix(e, "PULSE_SERVER=") {
			last = e // the last of several counts
		}
	}
	if !strings.HasPrefix(last, "PULSE_SERVER=unix:") || !slices.Contains(env, "JACK_NO_START_SERVER=1") {
		t.Errorf("the server is %q", last)
	}
}

func TestRaw(t *testing.T) {
	if got := raw([]float32{1, -2}, 3); len(got) != 20 || !slices.Equal(got[8:], make([]byte, 12)) {
		t.Errorf("%v", got)
	}
}
