package main

import (
	"fmt"
	"slices"
	"strings"

	"pluckweigh/cmd/internal/view"
	"pluckweigh/physics"
	"pluckweigh/settle"
	"pluckweigh/survey"
)

// shows returns what shows on a screen how far the survey has come, after each pluck and,
// without one, before the first.
func (w *surveying) shows() func(*view.State, *view.Pluck) {
	reaches := make([][]float64, len(w.on.places))
	return func(st *view.State, p *view.Pluck) {
		verdicts, states := w.answers()
		x := view.Strung{Done: w.progress(), Known: fmt.Sprintf("the ± is of the pitch, cents (k = %d), as plucks make it less; good is ± %s", physics.Coverage, w.good.text)}
		latest := survey.Nowhere
		if p != nil && p.Trusted {
			latest = w.placed(p, verdicts)
		}
		for i, s := range states {
			if u := physics.Coverage * s.U; s.Heard() && (len(reaches[i]) == 0 || reaches[i][len(reaches[i])-1] != u) {
				reaches[i] = append(reaches[i], u)
			}
			x.Places = append(x.Places, view.Place{Name: placeOf(w.on.Instrument, i), Good: s.Good, Heard: s.Heard(),
				Latest: i == latest, Reaches: slices.Clone(reaches[i]), Words: w.words(i, s)})
			if i == latest {
				p.Big, p.Beside = w.large(i, s)
			}
		}
		x.Wanted = w.wanted(states)
		st.Survey(x)
	}
}

// placed is the position of the pluck that was told of last. Where it is not known, what is
// shown says why and gives no number.
func (w *surveying) placed(p *view.Pluck, verdicts []survey.Verdict) int {
	p.Facts = nil
	if w.last < 0 {
		p.Big, p.Beside = nil, "not counted"
		return survey.Nowhere
	}
	v := verdicts[w.last]
	if v.Place == survey.Nowhere {
		p.Big, p.Beside = nil, w.open(v, w.plucks[w.last].Heard)
	}
	return v.Place
}

// large is what is to be read from afar of a string.
func (w *surveying) large(i int, s survey.State) (big []string, beside string) {
	name := placeOf(w.on.Instrument, i)
	x := w.pulls(i, s)
	if x.found == nil {
		return []string{name}, fmt.Sprintf("%s  %s", name, w.words(i, s))
	}
	for _, b := range bigOf(x.found.Expanded(physics.Coverage)) {
		big = append(big, name+" "+b)
	}
	return append(big, name), fmt.Sprintf("%s pulls %s, at pitch %s  (k = %d)", name, x.found.Expanded(physics.Coverage), x.at.Expanded(physics.Coverage), physics.Coverage)
}

// words say what is known of a string, or what is missing.
func (w *surveying) words(i int, s survey.State) string {
	if !s.Heard() {
		return ""
	}
	x := w.pulls(i, s)
	out := signed(settle.Estimate{Value: s.Cents, U: x.U}, 1, "cents")
	if x.found != nil {
		out += "  pulls " + x.found.Expanded(physics.Coverage)
	}
	if w.clip.given && w.on.strings[i] == nil && s.Clip == nil {
		out += "  pluck it with the clip"
	}
	return out
}

// wanted says what to pluck next.
func (w *surveying) wanted(states []survey.State) string {
	left := w.lacking(states)
	if len(left) == 0 {
		return "every string is good"
	}
	var names []string
	for _, i := range left {
		names = append(names, placeOf(w.on.Instrument, i))
	}
	if w.inOrder && survey.OneNote(w.on.as, left[:min(2, len(left))]) && len(left) > 1 {
		return fmt.Sprintf("next %s, in their order; damp the others", names[0])
	}
	const most = 4
	more := ""
	if len(names) > most {
		names, more = names[:most], " or another that is open"
	}
	return fmt.Sprintf("pluck %s%s; damp the others", strings.Join(names, " or "), more)
}
