package mic

import "testing"

func TestParseServer(t *testing.T) {
	const (
		info    = "Server String: /run/x\nDefault Sample Specification: s16le 2ch 44100Hz\nDefault Sink: out\nDefault Source: in\n"
		monitor = "0\tout.monitor\tmodule-x.c\ts16le 2ch 44100Hz\tIDLE\n"
	)
	for _, c := range []struct {
		name, info, sources string
		want                served
		ok                  bool
	}{
		{"found", info, monitor + "1\tin\tmodule-y.c\tfloat32le 6ch 96000Hz\tSUSPENDED\n", served{96000, 6, "in"}, true},
		{"without a last line's end", info, "1\tin\tPipeWire\ts32le 1ch 48000Hz\tRUNNING", served{48000, 1, "in"}, true},
		{"not listed", info, monitor, served{}, false},
		{"no default", "Default Sink: out\n", "1\t\tmodule-y.c\ts16le 2ch 48000Hz\tIDLE\n", served{}, false},
		{"other words", info, "1\tin\tmodule-y.c\t(null)\tIDLE\n", served{}, false},
		{"no number", info, "1\tin\tm\ts16le xch 48000Hz\tIDLE\n", served{}, false},
		{"zero", info, "1\tin\tm\ts16le 0ch 0Hz\tIDLE\n", served{}, false},
		{"absurd channels", info, "1\tin\tm\ts16le 1000000000ch 48000Hz\tIDLE\n", served{}, false},
		{"absurd rate", info, "1\tin\tm\ts16le 2ch 4000000000Hz\tIDLE\n", served{}, false},
		{"negative", info, "1\tin\tm\ts16le 2ch -5Hz\tIDLE\n", served{}, false},
		{"short", info, "1\tin\n", served{}, false},
		{"nothing", "", "", served{}, false},
	} {
		if got, ok := parseServer(c.info, c.sources); got != c.want || ok != c.ok {
			t.Errorf("%s: %+v %v", c.name, got, ok)
		}
	}
}
