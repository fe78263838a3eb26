package main

import (
	"fmt"
	"strings"

	"pluckweigh/physics"
	"pluckweigh/survey"
)

// progress says how far the survey has come.
func (w *surveying) progress() string {
	_, states := w.answers()
	left := w.lacking(states)
	s := fmt.Sprintf("%d of %d done", len(states)-len(left), len(states))
	if len(left) == 0 {
		return s
	}
	var names []string
	for _, i := range left {
		names = append(names, placeOf(w.on.Instrument, i))
	}
	const most = 6
	if len(names) > most {
		names = append(names[:most], "...")
	}
	return s + ", left: " + strings.Join(names, ", ")
}

// told says what came of the last pluck, for a person whose hands are busy, and as JSON: of
// both strings, where two sounded together.
func (w *surveying) told() (string, any) {
	if w.last < 0 {
		return "not counted", nil
	}
	verdicts, states := w.answers()
	say, j := w.toldOf(w.last, verdicts, states), newSurveyPluckJSON(w, verdicts[w.last])
	if w.also >= 0 {
		also := newSurveyPluckJSON(w, verdicts[w.also])
		say, j.Also = w.toldOf(w.also, verdicts, states)+"\n  and "+say, &also
	}
	return say, j
}

// toldOf says what came of a pluck.
func (w *surveying) toldOf(i int, verdicts []survey.Verdict, states []survey.State) string {
	v := verdicts[i]
	if v.Place == survey.Nowhere {
		return w.open(v, w.plucks[i].Heard)
	}
	s := states[v.Place]
	x := w.pulls(v.Place, s)
	say := fmt.Sprintf("%s  %+.1f cents", placeOf(w.on.Instrument, v.Place), s.Cents)
	if x.found != nil {
		say += fmt.Sprintf("  pulls %s, at pitch %s", x.found.Expanded(physics.Coverage), x.at.Expanded(physics.Coverage))
	}
	known := fmt.Sprintf("heard to ± %.2g cents", physics.Coverage*s.U)
	if s.Good {
		known = "GOOD, " + known
	} else {
		known += fmt.Sprintf(", pluck it again for ± %s", w.good.text)
	}
	return fmt.Sprintf("%s  (k = %d)  %s; %s", say, physics.Coverage, known, w.progress())
}

// open says why the string of a pluck is open.
func (w *surveying) open(v survey.Verdict, h survey.Heard) string {
	note, err := physics.NearestNote(h.F1.Value, w.on.A4)
	is := physics.Format(h.F1.Value, 0, 5)
	if err == nil {
		is = noteOf(note) + ", " + is
	}
	switch {
	case v.Far:
		return is + ": is too far off to be of the position named; it does not count"
	case len(v.Among) == 0:
		return fmt.Sprintf("%s: no string of the instrument is within %s of that; tune it nearer, or say which with --position", is, w.out.text)
	}
	var names []string
	for _, i := range v.Among {
		names = append(names, placeOf(w.on.Instrument, i))
	}
	if survey.OneNote(w.on.as, v.Among) {
		return fmt.Sprintf("%s: may be %s, which have one note; pluck them in their order with --in-order, or say which with --position", is, strings.Join(names, " or "))
	}
	return fmt.Sprintf("%s: may be %s; it counts once the others leave one, or say which with --position", is, strings.Join(names, " or "))
}
