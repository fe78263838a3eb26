package detecttest

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

func TestMissingTools(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	_, aubio := Aubio(t.Context(), "yin", 4096, "a.wav")
	_, praat := Praat(t.Context(), "a.wav", 20, 1500)
	for pkg, err := range map[string]error{"aubio-tools": aubio, "praat": praat} {
		if !errors.Is(err, ErrMissing) || !strings.Contains(err.Error(), "apt-get install "+pkg) {
			t.Errorf("%v: want what to install", err)
		}
	}
}

// verdict records how Need ends a test.
type verdict struct {
	testing.TB
	said string
}

func (v *verdict) Helper()      {}
func (v *verdict) Skip(...any)  { v.said = "skip" }
func (v *verdict) Fatal(...any) { v.said = "fatal" }

func TestNeed(t *testing.T) {
	missing := fmt.Errorf("praat: %w", ErrMissing)
	for _, c := range []struct {
		env  string
		err  error
		want string
	}{
		{"", nil, ""},
		{"", missing, "skip"},
		{"0", missing, "skip"},
		{"1", missing, "fatal"},
		{"", errors.New("broken"), "fatal"},
	} {
		t.Setenv(RequireEnv, c.env)
		v := &verdict{}
		Need(v, c.err)
		if v.said != c.want {
			t.Errorf("%s=%q, %v: %q, want %q", RequireEnv, c.env, c.err, v.said, c.want)
		}
	}
}

func TestMedian(t *testing.T) {
	track := Track{{0, 9}, {1, 100}, {2, 5000}, {3, 104}, {4, 102}, {5, 9}}
	for _, c := range []struct {
		from, to, hz float64
		n            int
	}{
		{1, 4, 103, 4}, {1, 3, 104, 3}, {2, 2, 5000, 1}, {6, 7, 0, 0}, {4, 1, 0, 0},
	} {
		if hz, n := track.Median(c.from, c.to); hz != c.hz || n != c.n {
			t.Errorf("%g to %g s: %g Hz of %d, want %g of %d", c.from, c.to, hz, n, c.hz, c.n)
		}
	}
}
