package audio_test

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"

	"pluckweigh/audio"
)

// TestCreateRefuses: nothing that exists is touched, and no rate is saved that
// could not be read.
func TestCreateRefuses(t *testing.T) {
	path := writeFile(t, "take.wav", []byte("dear old take"))
	_, err := audio.Create(path, 48000)
	if !errors.Is(err, fs.ErrExist) {
		t.Errorf("error is %v, want fs.ErrExist", err)
	}
	checkError(t, err, "exists already")
	if b, _ := os.ReadFile(path); string(b) != "dear old take" {
		t.Errorf("file is now %q", b)
	}
	_, err = audio.Create(filepath.Join(path, "take.wav"), 48000)
	if err == nil {
		t.Error("a file serves as a folder")
	}
	_, err = audio.Create(filepath.Join(t.TempDir(), "none", "take.wav"), 48000)
	checkError(t, err, "no such file")

	path = filepath.Join(t.TempDir(), "take.wav")
	for _, rate := range []float64{0, -48000, 7999, 384001, 44100.5, math.NaN(), math.Inf(1)} {
		_, err := audio.Create(path, rate)
		if err == nil {
			t.Fatalf("rate %v is accepted", rate)
		}
		checkError(t, err, "sample rate")
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a refused take left a file: %v", err)
	}
}

// TestEmptyTake leaves nothing behind.
func TestEmptyTake(t *testing.T) {
	for name, start := range map[string]func(string, float64) (*audio.Writer, error){"create": audio.Create, "overwrite": audio.Overwrite} {
		dir := t.TempDir()
		w, err := start(filepath.Join(dir, "take.wav"), 48000)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if names := list(t, dir); len(names) > 0 {
			t.Errorf("%s left %q", name, names)
		}
	}
}

func list(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// TestOverwrite: the old file stays until the new one is whole.
func TestOverwrite(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "take.wav")
	old := []byte("dear old take")
	if err := os.WriteFile(path, old, 0o640); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link.wav")
	if err := os.Symlink("take.wav", link); err != nil {
		t.Skipf("no links here: %v", err)
	}
	w, err := audio.Overwrite(link, 48000)
	if err != nil {
		t.Fatal(err)
	}
	x := singles(3000)
	write(t, w, x)
	if b, _ := os.ReadFile(path); string(b) != string(old) {
		t.Fatalf("file is %d bytes before Close, %q", len(b), b[:min(len(b), 20)])
	}
	part, err := filepath.Glob(filepath.Join(dir, "take.wav.*.part"))
	if err != nil || len(part) != 1 {
		t.Fatalf("take grows in %q, %v", part, err)
	}
	equal(t, all(t, openPath(t, part[0], audio.Options{})), x)
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	equal(t, all(t, openPath(t, path, audio.Options{})), x)
	if names := list(t, dir); !slices.Equal(names, []string{"link.wav", "take.wav"}) {
		t.Errorf("folder holds %q", names)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("link is now %v, %v", info, err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("file is now %v, %v", info, err)
	}

	if _, err := audio.Overwrite(dir, 48000); err == nil {
		t.Error("a directory is overwritten")
	}
}

// TestDiskFull: where writing stops is said, at Close again; what was written
// before is kept, and replaces nothing.
func TestDiskFull(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("no /dev/full here")
	}
	defer full.Close()
	dir := t.TempDir()
	path := filepath.Join(dir, "take.wav")
	if err := os.WriteFile(path, []byte("dear old take"), 0o666); err != nil {
		t.Fatal(err)
	}
	w, err := audio.Overwrite(path, 48000)
	if err != nil {
		t.Fatal(err)
	}
	x := singles(2000)
	write(t, w, x)
	disk := audio.SwapFile(w, full)
	for range 2 {
		err := w.Write(x)
		if !errors.Is(err, syscall.ENOSPC) {
			t.Fatalf("error is %v, want ENOSPC", err)
		}
		checkError(t, err, "writing stopped at sample 2000")
	}
	audio.SwapFile(w, disk)
	err = w.Close()
	if !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("Close returned %v, want ENOSPC", err)
	}
	if b, _ := os.ReadFile(path); string(b) != "dear old take" {
		t.Errorf("file is now %d bytes", len(b))
	}
	s := openPath(t, disk.Name(), audio.Options{})
	equal(t, all(t, s), x)
}

// TestNoFileToReplace: devices are not taken for files.
func TestNoFileToReplace(t *testing.T) {
	_, err := audio.Create(os.DevNull, 48000)
	checkError(t, err, "exists already")
	_, err = audio.Overwrite(os.DevNull, 48000)
	checkError(t, err, "not a file that can be overwritten")
}
