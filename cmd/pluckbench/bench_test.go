package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/cmd/pluckbench/internal/trial"
	"pluckweigh/detect/detecttest"
)

// asCommand makes the test binary behave as the command does, which runs itself.
const asCommand = "PLUCKBENCH_AS_COMMAND"

func TestMain(m *testing.M) {
	if os.Getenv(asCommand) == "1" {
		main()
		return
	}
	os.Exit(m.Run())
}

func call(t *testing.T, args ...string) (string, error) {
	t.Helper()
	t.Setenv(asCommand, "1")
	var out, said bytes.Buffer
	err := run(t.Context(), args, &out, &said)
	return out.String(), err
}

func TestCommands(t *testing.T) {
	for _, args := range [][]string{
		{"bound", "--takes", "3"}, {"hard", "--takes", "4", "--workers", "1"}, {"rest", "--takes", "2"},
	} {
		text, err := call(t, args...)
		if err != nil {
			t.Fatalf("%q: %v", args, err)
		}
		if !strings.Contains(text, "tuning stream") || !strings.Contains(text, "\n  all ") {
			t.Errorf("%q printed %s", args, text)
		}
		data, err := call(t, append(args, "--json")...)
		if err != nil {
			t.Fatalf("%q: %v", args, err)
		}
		var got struct {
			Stream string
			All    struct{ Takes int }
		}
		if err := json.Unmarshal([]byte(data), &got); err != nil || got.Stream != "tuning" || got.All.Takes == 0 {
			t.Errorf("%q: %+v, %v from %s", args, got, err, data)
		}
	}
}

func TestWrongCalls(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"hard", "--stream", "both"}, "tuning or reporting"},
		{[]string{"hard", "--takes", "-1"}, "--takes"},
		{[]string{"hard", "--workers", "0"}, "--workers"},
		{[]string{"hard", "7"}, "unknown command"},
		{[]string{"soft"}, "unknown command"},
		{[]string{"hear", "/nowhere.wav"}, "nowhere.wav"},
	} {
		if out, err := call(t, c.args...); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v and %q, want an error with %q", c.args, err, out, c.want)
		}
	}
}

// columns fails unless every table of a Markdown document has as many cells in each
// row as in its head.
func columns(t *testing.T, doc string) (tables int) {
	t.Helper()
	cells := 0
	for line := range strings.Lines(doc) {
		switch n := strings.Count(strings.ReplaceAll(line, `\|`, ""), "|"); {
		case n == 0:
			cells = 0
		case cells == 0:
			cells = n
			tables++
		case n != cells:
			t.Errorf("%d cells under a head of %d: %s", n, cells, line)
		}
	}
	return tables
}

// valid fails unless the document is well-formed XML.
func valid(t *testing.T, name string, doc []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(doc))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
}

func TestAll(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "docs")
	out, err := call(t, "all", "--takes", "2", "--out", folder, "--machine", "a | machine", "--json")
	detecttest.Need(t, err)
	var r struct {
		Date, Machine string
		Hard          struct{ All struct{ Takes int } }
		Real          struct{ Notes int }
		Rivals        struct{ Sets []any }
		Live          []any
	}
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if r.Hard.All.Takes != 2 || len(r.Rivals.Sets) != 3 || len(r.Live) == 0 || r.Real.Notes != 2 || r.Machine != "a | machine" {
		t.Errorf("%+v", r)
	}
	for _, name := range []string{"accuracy.svg", "wrong-notes.svg", "bench.md"} {
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		doc := string(data)
		if strings.Contains(doc, "NaN") || strings.Contains(doc, "Inf") {
			t.Errorf("%s prints what is no number", name)
		}
		if strings.HasSuffix(name, ".svg") {
			valid(t, name, data)
			if !strings.Contains(doc, "aubio yinfft") || !strings.Contains(doc, ownName) || !strings.Contains(doc, "<svg") {
				t.Errorf("%s: no key", name)
			}
		} else if n := columns(t, doc); n < 8 || !strings.Contains(doc, r.Date) || !strings.Contains(doc, "--stream tuning --takes 2 ") || !strings.Contains(doc, "a | machine") {
			t.Errorf("%s: %d tables", name, n)
		}
	}
}

func TestTables(t *testing.T) {
	tables := []table{{"One", []string{"a", "b|c"}, [][]string{{"1", "2"}}, []string{"Note."}}, {title: "Two", head: []string{"x"}}}
	var md, text bytes.Buffer
	if err := errors.Join(writeMarkdown(&md, tables), writeText(&text, tables)); err != nil {
		t.Fatal(err)
	}
	if want := "\n## One\n\n| a | b\\|c |\n| --- | --- |\n| 1 | 2 |\n\nNote.\n\n## Two\n\n| x |\n| --- |\n"; md.String() != want {
		t.Errorf("%q, want %q", md.String(), want)
	}
	if want := "One\n  a  b|c\n  1  2\n  Note.\n\nTwo\n  x\n"; text.String() != want {
		t.Errorf("%q, want %q", text.String(), want)
	}
	nan := trial.Number(math.NaN())
	for got, want := range map[string]string{
		fixed(1.25, 1): "1.2", fixed(nan, 2): "–", digits(0.0012345, 3): "0.00123", digits(1234, 3): "1234",
		digits(0, 3): "0", digits(nan, 3): "–", digits(-45.67, 3): "-45.7",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestTablesOfNothing: results without a take print no number that is none.
func TestTablesOfNothing(t *testing.T) {
	var b bytes.Buffer
	if err := writeMarkdown(&b, (results{}).tables()); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
		t.Error(b.String())
	}
	columns(t, b.String())
}
