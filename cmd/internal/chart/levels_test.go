package chart

import (
	"bytes"
	"image/png"
	"slices"
	"strings"
	"testing"
)

func TestLevels(t *testing.T) {
	l := Levels{
		Title: "Pulls", X: "position", Y: "pull (N)", K: 2, Wished: "wish", Between: true,
		Levels: []Level{{Place: "1 G2", Name: "G 24", Y: 158, U: 1, Wish: 160}, {Place: "2 D2", Name: "none", None: true, Wish: 160},
			{Place: "3 A1", Name: "A 44", Y: 163, Wish: 160, Odd: true}},
	}
	doc, err := l.SVG()
	if err != nil {
		t.Fatal(err)
	}
	got := texts(t, doc)
	for _, want := range []string{"Pulls", "position", "pull (N)", "1 G2", "G 24", "none", "wish", "spread", "no string", "with a doubt", "string, ± with k = 2"} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not printed, only %q", want, got)
		}
	}
	if s := string(doc); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		t.Error("a coordinate is no number")
	}
	// One string, its name too long for its place, and no wish.
	l = Levels{Levels: []Level{{Place: "1 E1", Name: strings.Repeat("name", 30), Y: 100}}}
	if doc, err = l.SVG(); err != nil || !strings.Contains(string(doc), "…") || strings.Contains(string(doc), "NaN") {
		t.Errorf("%s, %v", doc, err)
	}
	img, err := l.PNG()
	if err != nil {
		t.Fatal(err)
	}
	if c, err := png.DecodeConfig(bytes.NewReader(img)); err != nil || c.Width != width*fineness/72 {
		t.Errorf("%+v, %v", c, err)
	}
	l.Levels[0].None = true
	if _, err := l.SVG(); err == nil {
		t.Error("nothing has a picture")
	}
}
