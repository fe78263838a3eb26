package stock

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A disk that is full, a small one mounted for it, loses nothing that was acknowledged.
func TestFullDisk(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	disk := t.TempDir()
	mount := exec.Command("unshare", "--user", "--map-root-user", "--mount", "sh", "-c", `mount -t tmpfs -o size=400k none "$1" && { [ -z "$2" ] || exec "$2"; }`, "sh", disk)
	if out, err := mount.CombinedOutput(); err != nil {
		t.Skipf("no disk can be mounted: %v: %s", err, out)
	}
	mount = exec.Command(mount.Args[0], append(mount.Args[1:], exe)...)
	mount.Env = append(os.Environ(), fillerEnv+"="+filepath.Join(disk, "stock.db"))
	out, err := mount.CombinedOutput()
	if err != nil || !strings.Contains(string(out), "the disk is full; what was kept before is safe") {
		t.Errorf("%v: %s", err, out)
	}
	t.Logf("%s", out)
}

// What somebody may not read or write is said, with what to do; and what can be read is
// read. Where the test runs as root, who may all, another program does it as nobody.
func TestNoPermission(t *testing.T) {
	dir := t.TempDir()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() == 0 { // the binary and the folder are in places where nobody may look
		exe = copied(t, exe, filepath.Join(dir, "probe"))
		for d := dir; d != os.TempDir() && d != "/"; d = filepath.Dir(d) {
			if err := os.Chmod(d, 0o755); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name, c := range map[string]struct {
		file, folder os.FileMode
		read, change string // what is said
	}{
		"read-only file": {0o444, 0o555, "1 strings\nread: <nil>", "cannot be written"},
		"unreadable":     {0o000, 0o555, "read: * cannot be opened: permission denied; hint: ", "cannot be opened: permission denied; hint: "},
		"closed folder":  {0o444, 0o000, "read: * cannot be opened: permission denied; hint: ", "cannot be opened: permission denied; hint: "},
	} {
		folder := filepath.Join(dir, name)
		path := filepath.Join(folder, "stock.db")
		s, err := Open(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Add(t.Context(), named("E")); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		for p, mode := range map[string]os.FileMode{path: c.file, folder: c.folder} {
			defer os.Chmod(p, 0o700)
			if p == path {
				if err := os.Chmod(p, mode); err != nil {
					t.Fatal(err)
				}
			}
		}
		if err := os.Chmod(folder, c.folder); err != nil {
			t.Fatal(err)
		}
		run := exec.Command(exe)
		run.Env = append(os.Environ(), probeEnv+"="+path)
		run.Dir = "/"
		if os.Geteuid() == 0 {
			run.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
		out, err := run.CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v: %s", name, err, out)
		}
		said := string(out)
		for _, want := range []string{c.read, c.change} {
			for part := range strings.SplitSeq(want, "*") {
				if !strings.Contains(said, part) {
					t.Errorf("%s: lacks %q: %s", name, part, said)
				}
			}
		}
	}
}

func copied(t *testing.T, from, to string) string {
	t.Helper()
	b, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY, 0o755)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(f, bytes.NewReader(b)); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return to
}
