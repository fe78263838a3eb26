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
