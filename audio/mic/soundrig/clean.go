package soundrig

import (
	"os"
	"testing"
)

// Clean runs f with an empty home and an empty folder for temporary files, and
// fails t when f leaves anything in them, as sound libraries do: a cookie, a
// link to a socket's folder.
func Clean(t *testing.T, f func(t *testing.T)) {
	t.Helper()
	home, temp := t.TempDir(), t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("TMPDIR", temp)
	for _, name := range []string{"XDG_CONFIG_HOME", "XDG_RUNTIME_DIR", "PULSE_COOKIE", "PULSE_RUNTIME_PATH", "PULSE_STATE_PATH"} {
		t.Setenv(name, "") // for its value to come back
		os.Unsetenv(name)
	}
	t.Run("clean", f)
	for _, dir := range []string{home, temp} {
		left, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range left {
			t.Errorf("left behind: %s", e)
		}
	}
}
