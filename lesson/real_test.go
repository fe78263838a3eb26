package lesson

import (
	"math"
	"os"
	"testing"

	"pluckweigh/detect"
	"pluckweigh/detect/detecttest"
)

// Recorded strings of basses, guitars and a banjo have stiffness, as much as the detector
// finds by its joint fit, and their high partials die sooner.
func TestLessonsOfRecordedStrings(t *testing.T) {
	notes, err := detecttest.Notes()
	if err != nil {
		if os.Getenv("PLUCKWEIGH_REQUIRE_TOOLS") == "1" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	const every = 12
	count := 0
	for i, n := range notes {
		if i%every != 0 || !n.ForB {
			continue
		}
		take, err := detect.Analyze(n.Samples, n.Rate, detect.Options{})
		if err != nil || take.Reading == nil || !take.Reading.BKnown {
			t.Logf("%s is left out: %v", n.Name, err)
			continue
		}
		count++
		for _, id := range []string{"stiffness", "decay"} {
			l := lesson(t, id)
			points, err := l.Hear(nil, take, n.Name)
			if err != nil {
				t.Fatal(err)
			}
			o := l.Judge(points, nil)
			mustBeFinite(t, o)
			t.Logf("%s, %s: %s %s %v", n.Name, id, o.Verdict, o.Findings[0].Text(), o.Doubts)
			if o.Verdict == Contradicts {
				t.Errorf("%s: %s", n.Name, o.Say)
			}
			// The two weigh partials differently, and real ones do not lie on the law.
			f, b := o.Findings[0], take.Reading.B
			if id == "stiffness" && math.Abs(f.Value.V-b.V) > 0.05*b.V+3*math.Hypot(f.Value.U, b.U) {
				t.Errorf("%s: B %s, and %v by the detector", n.Name, f.Text(), b)
			}
		}
	}
	if count < 4 {
		t.Errorf("%d notes were heard", count)
	}
}
