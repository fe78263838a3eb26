//go:build unix

package audio_test

import (
	"context"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"pluckweigh/audio"
	"pluckweigh/audio/audiotest"
)

// TestNamedPipe: one that is never written to keeps nobody, and one that stalls
// obeys.
func TestNamedPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skipf("no named pipes here: %v", err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	if _, err := audio.OpenContext(ctx, path, audio.Options{}); err != context.DeadlineExceeded {
		t.Errorf("error is %v, want context.DeadlineExceeded", err)
	}
	// Let the open that was given up return.
	if w, err := os.OpenFile(path, os.O_WRONLY, 0); err == nil {
		w.Close()
	}

	const n = 5000
	f := formNamed("s16")
	file := riff(f.fmtChunk(1, 48000), sized("data", 0, f.data(sound(n, 1))))
	audiotest.Conform(t, func(t *testing.T) audio.Source {
		path := filepath.Join(t.TempDir(), "pipe")
		if err := syscall.Mkfifo(path, 0o600); err != nil {
			t.Fatal(err)
		}
		go func() {
			w, err := os.OpenFile(path, os.O_WRONLY, 0)
			if err != nil {
				t.Error(err)
				return
			}
			t.Cleanup(func() { w.Close() })
			w.Write(file)
		}()
		return openPath(t, path, audio.Options{})
	}, audiotest.Endless(n))
}
