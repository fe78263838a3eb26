package chart

import (
	"bytes"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"
)

func TestCourse(t *testing.T) {
	c := Course{
		Title: "A course", X: "time (min)", Y: "cents", K: 2, From: 0, To: 20, Ahead: 10,
		Law:   func(x float64) (float64, float64) { return -x, 0.1 },
		Steps: []CourseStep{{4, 5, "+3 cents"}}, Mark: 8, Marked: "done",
	}
	for i := range 10 {
		c.Readings = append(c.Readings, CourseReading{X: float64(i), Y: -float64(i), U: 0.1})
	}
	c.Readings[3].Odd, c.Readings[3].Y = true, -4
	c.Readings[6].Odd, c.Readings[6].Y = true, 700
	doc, err := c.SVG()
	if err != nil {
		t.Fatal(err)
	}
	got := texts(t, doc)
	for _, want := range []string{"A course", "time (min)", "cents", "+3 cents", "done", "700", "reading", "odd", "to come", "its ± (k = 2)", "odd, off the picture"} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not printed, only %q", want, got)
		}
	}
	if s := string(doc); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		t.Error("a coordinate is no number")
	}
	image, err := c.PNG()
	if err != nil {
		t.Fatal(err)
	}
	if m, err := png.Decode(bytes.NewReader(image)); err != nil || m.Bounds().Dx() != fineness*width/72 {
		t.Errorf("%v %v", m.Bounds(), err)
	}
	// Of many one in so many is drawn, and a file stays small.
	c.Readings, c.Mark = nil, math.NaN()
	for i := range 100_000 {
		c.Readings = append(c.Readings, CourseReading{X: float64(i) / 5000, Y: -float64(i) / 5000, U: 0.1})
	}
	if doc, err = c.SVG(); err != nil || len(doc) > 300_000 || !slices.Contains(texts(t, doc), "reading, one in 101") {
		t.Errorf("%d bytes, %v", len(doc), err)
	}
	c.Readings = nil
	if _, err := c.SVG(); err == nil {
		t.Error("no reading has a picture")
	}
}
