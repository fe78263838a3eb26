//go:build cgo && !nomic

package mic

import (
	"bufio"
	"slices"
	"strings"
	"testing"
	"time"

	"pluckweigh/audio/mic/soundrig"
)

func TestQuiet(t *testing.T) {
	t.Parallel()
	r := soundrig.NoDevice(t)
	if o, noise := run(t, r, "devices"); noise != "" || o.Err != "" || len(o.Devices) > 0 {
		t.Errorf("without a device: %+v, and on standard error:\n%s", o, noise)
	}
	if o, noise := run(t, r, "verbose devices"); !strings.Contains(noise, "ALSA") || o.Err != "" {
		t.Errorf("verbose: %+v, and on standard error:\n%s", o, noise)
	}
	r = soundrig.Start(t, soundrig.Options{})
	if o, noise := run(t, r, "speak"); noise != "spoken\nprinted\n" || o.Err != "" {
		t.Errorf("the program's own words: %q, %+v", noise, o)
	}
}

// Neither a capture nor a search for devices leaves anything in the user's home
// or among the temporary files, in this process or in another.
func TestNothingIsLeft(t *testing.T) {
	soundrig.Clean(t, func(t *testing.T) {
		r := soundrig.Start(t, soundrig.Options{Play: sound(4800, 1)})
		if o, noise := run(t, r, "devices"); o.Err != "" || len(o.Devices) == 0 {
			t.Errorf("%+v\n%s", o, noise)
		}
		run(t, soundrig.NoDevice(t), "devices")
		r.Setenv()
		src, _ := hear(t, Options{}, 4800)
		src.Close()
	})
}

func TestNoDevice(t *testing.T) {
	t.Parallel()
	o, noise := run(t, soundrig.NoDevice(t), "record")
	if !slices.Contains(o.Kinds, "no device") || o.Hint == "" || noise != "" {
		t.Errorf("%+v, and on standard error:\n%s", o, noise)
	}
}

func TestEmptyALSA(t *testing.T) {
	t.Parallel()
	for _, job := range []string{"devices", "record"} {
		o, noise := run(t, soundrig.EmptyALSA(t), job)
		if !slices.Contains(o.Kinds, "cannot start") || !strings.Contains(o.Err, "ALSA") || o.Hint == "" || noise != "" {
			t.Errorf("%s: %+v, and on standard error:\n%s", job, o, noise)
		}
	}
}

func TestOpenWithFrozenServer(t *testing.T) {
	t.Parallel()
	r := soundrig.Start(t, soundrig.Options{})
	r.Freeze()
	o, noise := run(t, r, "impatient")
	if !slices.Equal(o.Kinds, []string{"deadline"}) || noise != "" {
		t.Errorf("%+v, and on standard error:\n%s", o, noise)
	}
}

// TestServerDies kills, or freezes, the sound server in the middle of a capture.
func TestServerDies(t *testing.T) {
	for name, end := range map[string]func(*soundrig.Rig){"killed": (*soundrig.Rig).Kill, "frozen": (*soundrig.Rig).Freeze} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := soundrig.Start(t, soundrig.Options{Play: sound(48000, 1)})
			cmd, _, stderr := child(t, r, "record")
			pipe, err := cmd.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			lines := bufio.NewScanner(pipe)
			if !lines.Scan() || lines.Text() != "hears" {
				t.Fatalf("the child says %q; standard error:\n%s", lines.Text(), stderr)
			}
			time.Sleep(500 * time.Millisecond)
			end(r)
			ended := time.Now()
			if !lines.Scan() {
				t.Fatalf("the child says nothing; standard error:\n%s", stderr)
			}
			o := parse(t, lines.Bytes())
			cmd.Wait()
			late := o.ErrAt.Sub(ended)
			t.Logf("the error came after %v; closing took another %v (%s)", late, o.CloseFor, o.CloseErr)
			if late > 2*time.Second { // a promise of audio.Source, not a matter of speed
				t.Errorf("the error came after %v", late)
			}
			if !slices.Equal(o.Kinds, []string{"died"}) || o.Hint == "" || o.Samples == 0 || stderr.Len() > 0 {
				t.Errorf("%+v, and on standard error:\n%s", o, stderr)
			}
		})
	}
}
