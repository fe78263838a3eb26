package lessontest

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"pluckweigh/lesson"
)

// OneClass is a lesson as one class does it, always the same.
func OneClass(id string) Lesson { return Lessons(rand.New(rand.NewPCG(13, 17)))[id] }

// Typed are values of axes as somebody types them.
func Typed(axes []lesson.Axis, x []lesson.Value) []string {
	var out []string
	for i, v := range x {
		text := fmt.Sprintf("%.12g%s", v.V, axes[i].Unit)
		if v.U > 0 {
			text += fmt.Sprintf("±%.12g%s", v.U, axes[i].Unit)
		}
		out = append(out, text)
	}
	return out
}

// Wrong lists what of an outcome is not as it is in truth: the law holds, and so do its
// constants.
func (l Lesson) Wrong(o lesson.Outcome) (wrong []string) {
	if o.Verdict != lesson.Agrees {
		wrong = append(wrong, fmt.Sprintf("%s: %s %v", o.Verdict, o.Say, o.Next))
	}
	known := 0
	for _, f := range o.Findings {
		truth, ok := l.Truth[f.Symbol]
		if !ok {
			continue
		}
		known++
		if !Holds(f, truth) {
			wrong = append(wrong, fmt.Sprintf("%s %s, and is %v", f.Name, f.Text(), truth))
		}
	}
	if known != len(l.Truth) {
		wrong = append(wrong, fmt.Sprintf("%d constants of %d are found", known, len(l.Truth)))
	}
	return wrong
}

// Holds tells whether a finding holds the truth within its 99.9 %, so that of some twenty
// none fails by chance.
func Holds(f lesson.Finding, truth float64) bool {
	dof := f.DoF
	if dof == 0 {
		dof = 1e6
	}
	k := distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(0.9995)
	return math.Abs(f.Value.V-truth) <= k*f.Value.U+1e-9
}
