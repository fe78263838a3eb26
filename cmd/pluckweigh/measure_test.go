package main

import (
	"reflect"
	"testing"

	"pluckweigh/detect"
)

func TestSetAside(t *testing.T) {
	good := detect.Pluck{Trusted: true, Doubts: []detect.Doubt{{Code: detect.NoStiffness, Say: "few partials"}}}
	bad := func(start float64, c detect.Code, say string) detect.Pluck {
		return detect.Pluck{Start: start, Doubts: []detect.Doubt{{Code: detect.Misfit, Say: "uneven"}, {Code: c, Say: say, Fatal: true}}}
	}
	for _, c := range []struct {
		name   string
		plucks []detect.Pluck
		want   []detect.Doubt
	}{
		{"none", []detect.Pluck{good, good}, nil},
		{"one", []detect.Pluck{good, bad(1.234, detect.Clipped, "clipped")},
			[]detect.Doubt{{Code: detect.Clipped, Say: "1 of 2 plucks was set aside, at 1.23 s: clipped"}}},
		{"of two kinds", []detect.Pluck{bad(1, detect.TooShort, "30 ms"), good, bad(2, detect.Clipped, "clipped"), bad(3.5, detect.TooShort, "40 ms")},
			[]detect.Doubt{
				{Code: detect.TooShort, Say: "2 of 4 plucks were set aside, at 1.00, 3.50 s: 30 ms"},
				{Code: detect.Clipped, Say: "1 of 4 plucks was set aside, at 2.00 s: clipped"},
			}},
	} {
		if got := setAside(c.plucks); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}
