package main

import (
	"fmt"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
	"pluckweigh/survey"
)

// Codes of the doubts about what was surveyed.
const (
	notHeard    = "not-heard"     // a string was not heard
	notGood     = "not-good"      // it is not known as well as was asked for
	notWeighed  = "not-weighed"   // its unit weight is not known
	hasMoved    = "moved"         // its pitch moved between plucks
	whichIsAny  = "which-is-any"  // it is one of several that are alike
	allAreOff   = "all-are-off"   // it was recognised by all strings together
	byOthers    = "by-the-others" // it was recognised by where the others are
	weightsPart = "weights-part"  // the clip says another unit weight than the stock
	inCourse    = "course"        // another position has the same note
	withOther   = "together"      // another string sounded with it
	noPull      = "no-pull"       // the pull comes out implausible
)

// A surveyedString is what is told of the string at a position.
type surveyedString struct {
	survey.State
	name       string
	weight     physics.Measured[physics.UnitWeight] // zero for not known
	byClip     bool
	found, at  *physics.Result[physics.Force] // pull as found and at pitch; nil where not known
	load       *physics.Limit                 // at pitch
	wanted     physics.Force                  // 0 for no wish
	off        bool                           // by more than is allowed or known
	needed     physics.UnitWeight             // that would pull as wished; 0 where it does, or is not known
	other      string                         // the nearest in stock to that, empty for none
	otherPull  physics.Result[physics.Force]
	doubts     []choose.Doubt
	outOfTune  bool
	toBeRaised bool
}

// A surveyTold is what is told of an instrument.
type surveyTold struct {
	w         *surveying
	on        *surveyed
	verdicts  []survey.Verdict
	strings   []surveyedString
	pulls     int // strings of which the pull is known
	found, at physics.Result[physics.Force]
	spread    *physics.Result[physics.Force] // as found; nil where fewer than two pulls are known
	spreadAt  *physics.Result[physics.Force] // at pitch
}

// tunedWell is how far off its note a string is in tune, cents (common practice, no
// source).
const tunedWell = 3.0

// answers recognises all that was heard so far.
func (w *surveying) answers() ([]survey.Verdict, []survey.State) {
	heard := w.heard()
	verdicts := survey.Recognise(w.on.as, heard, w.rules())
	return verdicts, survey.States(w.on.as, heard, verdicts, w.rules())
}

// heard is what was heard so far.
func (w *surveying) heard() []survey.Heard {
	all := make([]survey.Heard, len(w.plucks))
	for i, p := range w.plucks {
		all[i] = p.Heard
	}
	w.strokes(all)
	return all
}

// done tells whether every string is good, and weighed where that is to be done.
func (w *surveying) done() bool {
	_, states := w.answers()
	return len(w.lacking(states)) == 0
}

// lacking lists the positions of which something is to be heard yet.
func (w *surveying) lacking(states []survey.State) []int {
	var out []int
	for i, s := range states {
		if !s.Good || w.clip.given && w.on.strings[i] == nil && s.Clip == nil {
			out = append(out, i)
		}
	}
	return out
}

// clock is that of the recorders of some plucks: the worst.
func (w *surveying) clock(plucks []int) physics.Relative {
	var worst physics.Relative
	for k, i := range plucks {
		if c := w.plucks[i].Clock; k == 0 || c.U > worst.U {
			worst = c
		}
	}
	return worst
}

// answer works out what was heard.
func (w *surveying) answer() (*surveyTold, error) {
	if len(w.plucks) == 0 {
		return nil, &untrusted{"no pluck can be trusted", "pluck the strings one by one, damp the others, and let each ring for two seconds or more"}
	}
	return w.soFar()
}

// soFar works out what is known by now, which may be nothing.
func (w *surveying) soFar() (*surveyTold, error) {
	t := &surveyTold{w: w, on: w.on}
	var states []survey.State
	t.verdicts, states = w.answers()
	var found, at []physics.Result[physics.Force]
	for i, s := range states {
		x := w.pulls(i, s)
		t.strings = append(t.strings, x)
		if x.found == nil {
			continue
		}
		t.pulls++
		found, at = append(found, *x.found), append(at, *x.at)
	}
	if w.on.wish.Kind == stock.EvenWish {
		w.evenOut(t)
	}
	for i := range t.strings {
		w.mend(i, &t.strings[i])
	}
	var err error
	if t.pulls > 0 {
		if t.found, err = physics.Total(found, physics.OneBench); err == nil {
			t.at, err = physics.Total(at, physics.OneBench)
		}
	}
	if t.pulls > 1 && err == nil {
		if t.spread, err = spreadOfPulls(found); err == nil {
			t.spreadAt, err = spreadOfPulls(at)
		}
	}
	return t, err
}

// spreadOfPulls is from the lowest to the highest of pulls of one bench.
func spreadOfPulls(pulls []physics.Result[physics.Force]) (*physics.Result[physics.Force], error) {
	s, err := physics.Spread(pulls, physics.OneBench)
	return &s, err
}

// tell prints what was heard, and draws it.
func (w *surveying) tell() error {
	t, err := w.answer()
	if err != nil {
		return err
	}
	if slices.ContainsFunc(t.strings, func(s surveyedString) bool { return s.toBeRaised }) {
		fmt.Fprintln(w.e.err, caution+"\n"+whip)
	}
	if w.e.json {
		err = writeLine(w.e.out, t.json())
	} else {
		err = t.write(w.e.out)
	}
	if err != nil {
		return err
	}
	if t.pulls == 0 {
		if w.picture.name != "" {
			fmt.Fprintln(w.e.err, "no pull is known, so that there is nothing to draw")
		}
		return nil
	}
	return w.picture.draw(t.picture())
}

// whole tells whether the pull of each string is known.
func (t *surveyTold) whole() bool { return t.pulls == len(t.strings) }
