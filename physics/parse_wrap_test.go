package physics

import (
	"errors"
	"strings"
	"testing"
)

func TestParseWrap(t *testing.T) {
	w := must(ParseWrap("0.5mm±0.01mm@0.55mm:Nickel-200"))
	if w.Of.Name != "nickel 200" || w.Wire.Value != must(Parse[Length]("0.5mm")) || w.Wire.Assumed || !w.Pitch.Assumed || w.Pitch.Value != must(Parse[Length]("0.55mm")) {
		t.Errorf("read as %+v", w)
	}
	if w := must(ParseWrap("0.02in:bronze-80/20")); w.Pitch != (Measured[Length]{}) || !w.Wire.Assumed {
		t.Errorf("read as %+v", w)
	}
	for in, want := range map[string]string{
		"":                        "names no material",
		"0.5mm":                   "names no material",
		"0.5mm:":                  "names no material",
		"0.5:nickel-200":          "has no unit",
		"0.5g:nickel-200":         "a unit of mass",
		"-0.5mm:nickel-200":       "must not be negative",
		"0mm:nickel-200":          "more than zero",
		"50mm:nickel-200":         "implausible",
		"0.5mm@:nickel-200":       "is empty",
		"0.5mm@0.6:nickel-200":    "has no unit",
		"0.5mm@90mm:nickel-200":   "implausible",
		"0.5mm:unobtainium":       "is not known",
		"0.5mm@0.6mm@1mm:nickel":  "unknown unit",
		"0.5mm:nickel-200:copper": "",
	} {
		w, err := ParseWrap(in)
		var input *InputError
		if !errors.As(err, &input) || !strings.Contains(err.Error(), want) || w != (Wrap{}) {
			t.Errorf("%q: %+v, %v, want %q", in, w, err, want)
		}
	}
}
