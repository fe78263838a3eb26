// Package lesson has guided experiments on what the textbook says of a plucked string:
// what to do, what is expected, the points that were measured, the line through them with
// its uncertainty, and a verdict, which may be that the data do not show it. It knows what
// detect and physics say and nothing of sound devices, printing or pages.
//
// A class is no more than points of several strings in one list: give those of each string
// a Group of their own, and what all strings have in common is found from all.
package lesson

import (
	"fmt"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/physics/spelling"
)

// A Lesson is one guided experiment.
type Lesson struct {
	ID       string   `json:"lesson"`
	Title    string   `json:"title"`
	Question string   `json:"question"`
	Steps    []string `json:"steps"`  // what to do, in order
	Law      string   `json:"law"`    // what is expected
	Source   string   `json:"source"` // of the law
	// Cautions are those of package safety that stand before the steps.
	Cautions []string `json:"cautions"`
	X        []Axis   `json:"x"` // what each reading is plotted over
	Y        Axis     `json:"y"` // what is heard, or typed
	Givens   []Axis   `json:"givens"`
	// Clip tells that the string carries a clip: its takes are to be heard by
	// detect.AnalyzeLoaded.
	Clip bool `json:"clip"`
	// Many tells that one take gives many points and nothing is asked beside it.
	Many bool `json:"many"`
	// Rings tells that how a pluck rings to its end is what is looked at.
	Rings bool `json:"rings"`
	// PerString tells that what is found belongs to one string, so that points of several
	// say nothing together: judge each Group by itself.
	PerString bool `json:"per_string"`
	Least     int  `json:"least"` // points that are worth beginning with

	law  law
	hear hearing
}

// A Value is a number with its standard uncertainty, in the unit of its axis.
type Value struct {
	V float64 `json:"value"`
	U float64 `json:"u"`
	// Assumed tells that nobody stated U.
	Assumed bool `json:"assumed,omitempty"`
}

// A Point is one measurement.
type Point struct {
	X     []Value `json:"x"` // as many as Lesson.X; an optional one may be missing at the end
	Y     Value   `json:"y"`
	From  string  `json:"from"`            // which reading it came from
	Group string  `json:"group,omitempty"` // which string, where there are several
	Aside string  `json:"aside,omitempty"` // why it was set aside; empty where it counts
	// B is the inharmonicity of what was heard, 0 where it is not known, and UB its standard
	// uncertainty.
	B    float64 `json:"b,omitempty"`
	UB   float64 `json:"u_b,omitempty"`
	Note string  `json:"note,omitempty"` // what else was seen
	// Doubts are what there is to be said of the reading.
	Doubts []string `json:"doubts,omitempty"`
}

// Givens are what is told once for all points, by the names of Lesson.Givens.
type Givens map[string]Value

// All lists the lessons in the order in which they are taught.
func All() []*Lesson {
	return []*Lesson{length(), tension(), unitWeight(), harmonics(), frets(), stiffness(),
		pluck(), decay(), glide(), clip(), temperature()}
}

// Named finds a lesson. The error is an *physics.InputError.
func Named(id string) (*Lesson, error) {
	var ids []string
	for _, l := range All() {
		if l.ID == id {
			return l, nil
		}
		ids = append(ids, l.ID)
	}
	e := &physics.InputError{What: "lesson", Text: id, Why: "is not known", Fix: "see `pluckweigh lesson` for what there is"}
	if near := spelling.Nearest(id, ids); near != "" {
		e.Fix = fmt.Sprintf("did you mean %q?", near)
	}
	return nil, e
}

// Asked are the axes of X that a person tells with each reading.
func (l *Lesson) Asked() []Axis {
	var out []Axis
	for _, a := range l.X {
		if !a.Heard {
			out = append(out, a)
		}
	}
	return out
}

// Typed is a point whose numbers were entered by hand. The error is an
// *physics.InputError.
func (l *Lesson) Typed(x []Value, y Value, from string) (Point, error) {
	p := Point{X: slices.Clone(x), Y: y, From: from}
	return p, l.Check(p)
}

// Check refuses a point that cannot be one of the lesson's. The error is an
// *physics.InputError.
func (l *Lesson) Check(p Point) error {
	least := 0
	for _, a := range l.X {
		if !a.Optional {
			least++
		}
	}
	if len(p.X) < least || len(p.X) > len(l.X) {
		return &physics.InputError{What: "point", Why: fmt.Sprintf("has %d numbers beside what is heard, and the lesson %d", len(p.X), len(l.X)), Fix: "give " + names(l.X)}
	}
	for i, v := range p.X {
		if err := l.X[i].check(v); err != nil {
			return err
		}
	}
	return l.Y.check(p.Y)
}

func names(axes []Axis) string {
	s := ""
	for i, a := range axes {
		switch {
		case i > 0 && i == len(axes)-1:
			s += " and "
		case i > 0:
			s += ", "
		}
		s += a.Name
		if a.Optional {
			s += " if it is known"
		}
	}
	return s
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
