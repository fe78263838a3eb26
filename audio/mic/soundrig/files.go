package soundrig

import (
	"os"
	"path/filepath"
	"testing"
)

// folder makes a rig's folder. Not t.TempDir: a socket's path must be short.
func folder(t testing.TB) *Rig {
	t.Helper()
	dir, err := os.MkdirTemp("", "rig")
	if err != nil {
		t.Fatal("soundrig:", err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return &Rig{t: t, dir: dir}
}

func (r *Rig) write(name string, data []byte) string {
	r.t.Helper()
	path := filepath.Join(r.dir, name)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		r.t.Fatal("soundrig:", err)
	}
	return path
}

func (r *Rig) create(name string) *os.File {
	r.t.Helper()
	f, err := os.Create(filepath.Join(r.dir, name))
	if err != nil {
		r.t.Fatal("soundrig:", err)
	}
	return f
}

func (r *Rig) read(name string) string {
	b, err := os.ReadFile(filepath.Join(r.dir, name))
	if err != nil {
		return err.Error()
	}
	return string(b)
}
