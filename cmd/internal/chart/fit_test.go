package chart

import (
	"slices"
	"strings"
	"testing"
)

func TestFitSVG(t *testing.T) {
	f := Fit{
		Title: "A line", X: "load (N)", Y: "f0² (Hz²)", Off: "off (N)",
		Points:  []FitPoint{{Name: "2kg", X: 1, UX: 0.1, Y: 2, UY: 0.1}, {Name: "4kg", X: 2, Y: 4.1, Off: 0.1, UOff: 0.2, Odd: true}},
		Line:    func(x float64) (float64, float64) { return 2 * x, 0.1 },
		OffLine: func(float64) float64 { return 0.1 },
		K:       2,
	}
	doc, err := f.SVG()
	if err != nil {
		t.Fatal(err)
	}
	got := texts(t, doc)
	for _, want := range []string{"A line", "load (N)", "f0² (Hz²)", "off (N)", "2kg", "4kg"} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not printed, only %q", want, got)
		}
	}
	if s := string(doc); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		t.Error("a coordinate is no number")
	}
	f.Points = f.Points[:1]
	if _, err := f.SVG(); err == nil {
		t.Error("one point has a picture")
	}
}

// Several laws have a curve each, over x below zero too; what is set aside is at the top
// alone, and many points have no names.
func TestFitCurves(t *testing.T) {
	f := Fit{
		Title: "Curves", X: "x", Y: "y", Off: "off", K: 2,
		Points: []FitPoint{{Name: "first", X: -1, Y: 2}, {Name: "second", X: 2, Y: 4}, {Name: "third (set aside)", X: 1, Y: 9, Aside: true}},
		Curves: []FitCurve{
			{X: []float64{-1, 0, 2}, Y: []float64{2, 2.5, 4}, U: []float64{1, 1, 1}, UOff: []float64{1, 1, 1}},
			{X: []float64{0, 1}, Y: []float64{1, 1}, U: []float64{0, 0}, UOff: []float64{0, 0}},
		},
	}
	doc, err := f.SVG()
	if err != nil {
		t.Fatal(err)
	}
	got := texts(t, doc)
	if !slices.Contains(got, "third (set aside)") || !slices.Contains(got, "-1") && !slices.Contains(got, "−1") {
		t.Errorf("%q", got)
	}
	for len(f.Points) <= mostNamed {
		f.Points = append(f.Points, FitPoint{Name: "more", X: 1, Y: 2})
	}
	if doc, err = f.SVG(); err != nil || slices.Contains(texts(t, doc), "more") {
		t.Errorf("%v %q", err, texts(t, doc))
	}
}
