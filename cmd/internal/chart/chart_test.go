package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

// texts parses a document and returns what is printed in it; it fails on a
// document that is not well formed, or is no SVG.
func texts(t *testing.T, doc []byte) []string {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(doc))
	var out []string
	root, inText := "", false
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			if root == "" {
				root = e.Name.Local
			}
			inText = e.Name.Local == "text"
		case xml.EndElement:
			inText = false
		case xml.CharData:
			if inText {
				out = append(out, string(e))
			}
		}
	}
	if root != "svg" {
		t.Errorf("the root is %q, want svg", root)
	}
	return out
}

func TestSVG(t *testing.T) {
	c := Chart{
		Title: "Errors", X: "ratio (dB)", Y: "error (cents)", LogY: true,
		Series: []Series{
			{Name: "a & b", Points: []Point{{10, 0.01}, {20, 0.003}, {30, math.NaN()}, {35, 0}, {40, 3e-4}}},
			{Name: "limit", Points: []Point{{10, 0.009}, {40, 2e-4}}, Bare: true},
			{Name: "nothing", Points: []Point{{math.NaN(), 1}}},
		},
	}
	doc, err := c.SVG()
	if err != nil {
		t.Fatal(err)
	}
	got := texts(t, doc)
	for _, want := range []string{"Errors", "ratio (dB)", "error (cents)", "a & b", "limit", "0.01", "0.0001"} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not printed, only %q", want, got)
		}
	}
	if slices.Contains(got, "nothing") {
		t.Error("a series without a point has a key")
	}
	if s := string(doc); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		t.Error("a coordinate is no number")
	}
	c.LogY, c.Categories = false, []string{"low", "high"}
	c.Series = []Series{{Name: "zeros", Points: []Point{{0, 0}, {1, 0}}}}
	if doc, err = c.SVG(); err != nil {
		t.Fatal(err)
	}
	if got := texts(t, doc); !slices.Contains(got, "low") || !slices.Contains(got, "high") {
		t.Errorf("printed %q", got)
	}
}

func TestNoChart(t *testing.T) {
	for name, c := range map[string]Chart{
		"empty":    {},
		"no point": {Series: []Series{{Name: "a"}}},
		"too many": {Series: slices.Repeat([]Series{{Name: "a", Points: []Point{{1, 1}}}}, len(looks)+1)},
	} {
		if _, err := c.SVG(); err == nil {
			t.Errorf("%s: a chart of it is drawn", name)
		}
	}
}
