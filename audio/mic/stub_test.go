//go:build !cgo || nomic

package mic

import (
	"pluckweigh/audio"

	"errors"
	"strings"
	"testing"
)

func TestNotBuilt(t *testing.T) {
	_, err1 := Devices(t.Context(), false)
	_, err2 := Open(t.Context(), Options{})
	for _, err := range []error{err1, err2} {
		var e *audio.Error
		if !errors.Is(err, ErrNotBuilt) || !errors.Is(err, ErrNoDevice) || !errors.As(err, &e) {
			t.Fatal(err)
		}
		for _, word := range []string{"portaudio19-dev", "pkg-config", "brew", "pacman", "CGO_ENABLED=1", "make build"} {
			if !strings.Contains(e.Hint(), word) {
				t.Errorf("the hint lacks %q: %s", word, e.Hint())
			}
		}
	}
}
