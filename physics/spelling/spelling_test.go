package spelling

import (
	"strings"
	"testing"
)

func TestSlips(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want float64
	}{
		{"", "", 0},
		{"", "in", 2},
		{"in", "", 2},
		{"in", "in", 0},
		{"inn", "in", 1},
		{"i", "in", 1},
		{"on", "in", 1},
		{"IN", "in", 1},
		{"Hz", "hz", 0.5},
		{"sacle", "scale", 1}, // neighbours exchanged
		{"sacle", "save", 2},
		{"ab", "ba", 1},
		{"ca", "abc", 3}, // not 2: what was exchanged is not edited again
		{"µm", "um", 1},
		{"kitten", "sitting", 3},
	} {
		if got := Slips(c.a, c.b); got != c.want {
			t.Errorf("Slips(%q, %q) = %v, want %v", c.a, c.b, got, c.want)
		}
		if got := Slips(c.b, c.a); got != c.want {
			t.Errorf("Slips(%q, %q) = %v, want %v", c.b, c.a, got, c.want)
		}
	}
}

func TestNearest(t *testing.T) {
	flags := []string{"json", "near", "save", "scale", "seconds"}
	for s, want := range map[string]string{
		"sacle": "scale", "safe": "save", "jsn": "json", "NEAR": "near", "secs": "seconds",
		"": "", "x": "", "xyzzy": "", strings.Repeat("scale", 10): "",
	} {
		if got := Nearest(s, flags); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
	}
	if got := Nearest("in", nil); got != "" {
		t.Errorf("of no names: %q", got)
	}
	if got := Nearest("cn", []string{"mn", "cm"}); got != "mn" {
		t.Errorf("of equals: %q", got)
	}
}
