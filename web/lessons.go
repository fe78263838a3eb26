package web

import (
	"bytes"
	"strconv"

	"pluckweigh/lesson"
)

// Limits on lessons.
const (
	mostPoints  = 1000 // that are judged at once
	mostGivens  = 20
	lessonsPath = "/lessons.json"
)

// lessonsFile is what lessons there are: they are part of the program, as the page is.
var lessonsFile = newFile(encode(lesson.All()), "application/json")

// A judgeAsk asks what points have to say.
type judgeAsk struct {
	Lesson string            `json:"lesson"`
	Points []lesson.Point    `json:"points"`
	Givens map[string]string `json:"givens"` // as typed, by name
}

// A typedPoint is one whose numbers were typed by hand.
type typedPoint struct {
	Lesson string   `json:"lesson"`
	X      []string `json:"x"`
	Y      string   `json:"y"`
}

// judged is what points have to say, and in words.
type judged struct {
	Outcome lesson.Outcome `json:"outcome"`
	Texts   []string       `json:"texts"`  // of the findings
	Values  []string       `json:"values"` // what was heard or typed of each point, with its uncertainty (k = 1)
	List    string         `json:"list"`   // the points as pluckweigh lesson reads them
	// Troubles are what is wrong with what was told once, by name.
	Troubles map[string]Trouble `json:"troubles"`
}

// Place is the name of the place where the text of axis i is typed.
func Place(i int) string { return "x" + strconv.Itoa(i) }

// Typed is the values of texts by axes, and what is wrong with which. What may be missing
// may be empty at the end.
func Typed(axes []lesson.Axis, texts []string) ([]lesson.Value, map[string]Trouble) {
	var out []lesson.Value
	troubles := map[string]Trouble{}
	for i, a := range axes {
		text := ""
		if i < len(texts) {
			text = texts[i]
		}
		if text == "" && a.Optional {
			continue
		}
		if text == "" {
			troubles[Place(i)] = Trouble{Say: a.Name + " is not told", Hint: "tell it, like " + a.Example}
			continue
		}
		v, err := a.Parse(text)
		if err != nil {
			troubles[Place(i)] = TroubleOf(err)
			continue
		}
		out = append(out, v)
	}
	return out, troubles
}

// point makes a point of what was typed.
func (p typedPoint) point() (lesson.Point, map[string]Trouble) {
	l, err := lesson.Named(p.Lesson)
	if err != nil {
		return lesson.Point{}, map[string]Trouble{"lesson": TroubleOf(err)}
	}
	x, troubles := Typed(l.X, p.X)
	y, err := l.Y.Parse(p.Y)
	if err != nil {
		troubles["y"] = TroubleOf(err)
	}
	if len(troubles) > 0 {
		return lesson.Point{}, troubles
	}
	q, err := l.Typed(x, y, "typed")
	if err != nil {
		return q, map[string]Trouble{"y": TroubleOf(err)}
	}
	return q, nil
}

// judge judges points. The error is for the page.
func (a judgeAsk) judge() (judged, error) {
	j := judged{Troubles: map[string]Trouble{}, Texts: []string{}, Values: []string{}}
	l, err := lesson.Named(a.Lesson)
	if err != nil {
		return j, err
	}
	givens := lesson.Givens{}
	for _, g := range l.Givens {
		text := a.Givens[g.Name]
		if text == "" {
			continue
		}
		v, err := g.Parse(text)
		if err != nil {
			j.Troubles[g.Name] = TroubleOf(err)
			continue
		}
		givens[g.Name] = v
	}
	j.Outcome = l.Judge(a.Points, givens)
	for _, f := range j.Outcome.Findings {
		j.Texts = append(j.Texts, f.Text())
	}
	for _, p := range a.Points {
		j.Values = append(j.Values, l.Y.Say(p.Y, 1))
	}
	var list bytes.Buffer
	if err := l.WriteList(&list, a.Points); err == nil {
		j.List = list.String()
	}
	return j, nil
}

// fits tells whether all of it is of a size that somebody could have typed.
func (p typedPoint) fits() bool { return fit(append(p.X, p.Y, p.Lesson)...) }

func (a judgeAsk) fits() bool {
	for name, text := range a.Givens {
		if !fit(name, text) {
			return false
		}
	}
	for _, p := range a.Points {
		if !fit(p.From, p.Group, p.Aside) || len(p.X) > mostGivens || len(p.Doubts) > mostGivens {
			return false
		}
	}
	return len(a.Givens) <= mostGivens && len(a.Points) <= mostPoints && fit(a.Lesson)
}

func fit(texts ...string) bool {
	if len(texts) > 2*mostGivens {
		return false
	}
	for _, s := range texts {
		if len(s) > longestTyped {
			return false
		}
	}
	return true
}
