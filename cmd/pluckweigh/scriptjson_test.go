package main

import (
	"encoding/json"
	"reflect"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// lookUp finds a value in JSON lines by a path like 0.plucks.1.f0_hz, of which
// the first step is the line.
func lookUp(ts *testscript.TestScript, file, path string) any {
	var v any
	lines := []any{}
	for dec := json.NewDecoder(strings.NewReader(ts.ReadFile(file))); dec.More(); {
		var line any
		ts.Check(dec.Decode(&line))
		lines = append(lines, line)
	}
	v = lines
	for _, step := range strings.Split(path, ".") {
		switch at := v.(type) {
		case map[string]any:
			next, ok := at[step]
			if !ok {
				ts.Fatalf("%s: no %q in %s", path, step, file)
			}
			v = next
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i < 0 || i >= len(at) {
				ts.Fatalf("%s: no %q among %d in %s", path, step, len(at), file)
			}
			v = at[i]
		default:
			ts.Fatalf("%s: nothing below %q in %s", path, step, file)
		}
	}
	return v
}

// scriptJSONIs compares a value as JSON: [!] jsonis FILE PATH JSON.
func scriptJSONIs(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: [!] jsonis FILE PATH JSON")
	}
	got, err := json.Marshal(lookUp(ts, args[0], args[1]))
	ts.Check(err)
	if (string(got) == args[2]) == neg {
		ts.Fatalf("%s is %s", args[1], got)
	}
}

// scriptJSONRange wants a number from LO to HI: jsonrange FILE PATH LO HI.
func scriptJSONRange(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: jsonrange FILE PATH LO HI")
	}
	lo, err := strconv.ParseFloat(args[2], 64)
	ts.Check(err)
	hi, err := strconv.ParseFloat(args[3], 64)
	ts.Check(err)
	v := lookUp(ts, args[0], args[1])
	if f, ok := v.(float64); !ok || !(f >= lo && f <= hi) {
		ts.Fatalf("%s is %v, not from %s to %s", args[1], v, args[2], args[3])
	}
}

// scriptJSONKeys wants an object to have just these keys: jsonkeys FILE PATH KEY...
func scriptJSONKeys(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 3 {
		ts.Fatalf("usage: jsonkeys FILE PATH KEY...")
	}
	got, ok := lookUp(ts, args[0], args[1]).(map[string]any)
	if !ok {
		ts.Fatalf("%s is no object", args[1])
	}
	want := map[string]bool{}
	for _, k := range args[2:] {
		want[k] = true
		if _, ok := got[k]; !ok {
			ts.Fatalf("%s lacks %q", args[1], k)
		}
	}
	for k := range got {
		if !want[k] {
			ts.Fatalf("%s has %q too", args[1], k)
		}
	}
}

// scriptSameJSON wants two files to have the same at a path: samejson A B PATH.
func scriptSameJSON(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: samejson A B PATH")
	}
	a, b := lookUp(ts, args[0], args[2]), lookUp(ts, args[1], args[2])
	if !reflect.DeepEqual(a, b) {
		ts.Fatalf("%s: %v is not %v", args[2], a, b)
	}
}
