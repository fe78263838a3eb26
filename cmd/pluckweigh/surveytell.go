package main

import (
	"fmt"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
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

// pulls works out how hard a string pulls.
func (w *surveying) pulls(i int, s survey.State) surveyedString {
	p := w.on.places[i]
	out := surveyedString{State: s, name: w.on.names[i]}
	doubt := func(code, format string, args ...any) {
		out.doubts = append(out.doubts, choose.Doubt{Code: code, Say: fmt.Sprintf(format, args...)})
	}
	if len(w.on.targets) > 0 {
		out.wanted = w.on.targets[i]
	}
	if !s.Heard() {
		doubt(notHeard, "not heard")
		return out
	}
	h := survey.Held{Length: p.Length, Ends: p.Ends, Clock: w.clock(s.Plucks)}
	found, at := s.AsFound(h), s.AtPitch(h, p.F0)
	out.U = math.Hypot(s.U, h.ClockCents())
	var err error
	var f, t physics.Result[physics.Force]
	switch known := w.on.strings[i]; {
	case known != nil:
		out.weight = known.UnitWeight
		if f, err = found.Tension(known.UnitWeight); err == nil {
			t, err = at.Tension(known.UnitWeight)
		}
		if s.Clip != nil && err == nil {
			if mu, err := s.Weighed(found).UnitWeight(); err == nil && math.Abs(float64(mu.Value-known.UnitWeight.Value)) > physics.Coverage*math.Hypot(float64(mu.U), float64(known.UnitWeight.U)) {
				doubt(weightsPart, "the clip says that it weighs %s, the stock %s: is it another string?", mu.Expanded(physics.Coverage), known.UnitWeight.Expanded(physics.Coverage))
			}
		}
		if w.on.odd[i] {
			out.doubts = append(out.doubts, disagree)
		}
		if again, err := choose.Retune([]choose.Position{p}, []traits.String{*known}, []physics.Frequency{p.F0}); err == nil {
			out.load = again.Strings[0].Load
			out.doubts = append(out.doubts, again.Strings[0].Doubts...)
		}
	case s.Clip != nil:
		c := s.Weighed(found)
		var mu physics.Result[physics.UnitWeight]
		if err = c.TooHeavy(); err == nil {
			mu, err = c.UnitWeight()
		}
		if err == nil {
			out.weight, out.byClip = mu.Measured, true
			if f, err = c.Tension(); err == nil {
				t, err = s.Weighed(at).Tension()
			}
		}
	default:
		doubt(notWeighed, "not weighed: name the string with `pluckweigh stock string`, or weigh it on the way with --clip")
	}
	if out.weight.Value > 0 && err == nil {
		if err = physics.Pull.Check(f.Value); err == nil {
			err = physics.Pull.Check(t.Value)
		}
	}
	switch {
	case err != nil:
		doubt(noPull, "no pull comes of it: %v", err)
		out.weight = physics.Measured[physics.UnitWeight]{}
	case out.weight.Value > 0:
		out.found, out.at = &f, &t
	}
	out.outOfTune = math.Abs(s.Cents) > max(tunedWell, physics.Coverage*out.U)
	out.toBeRaised = out.outOfTune && s.Cents < 0
	if !s.Good {
		doubt(notGood, "not known as well as was asked for: pluck it again")
	}
	if s.Moved != 0 {
		doubt(hasMoved, "moved by %+.0f cents between plucks: what was heard last counts", s.Moved)
	}
	switch s.How {
	case survey.Alike:
		doubt(whichIsAny, "one of several positions that are alike: which of them is not known, and does not matter")
	case survey.ByOffset:
		doubt(allAreOff, "recognised by all strings together, which are off alike")
	case survey.ByElimination:
		doubt(byOthers, "recognised by where the others are: true if no peg was turned meanwhile")
	}
	if w.together(s.Plucks) {
		doubt(withOther, "it was plucked together with the other string of its course, and parted from it")
	} else if survey.Shared(w.on.as, i) {
		doubt(inCourse, "another position has this note too: if both rang together and are tuned alike, either was heard; damp one")
	}
	return out
}

// evenOut wishes that all strings pull as those known do in the mean. One alone has
// nothing to be like.
func (w *surveying) evenOut(t *surveyTold) {
	w.on.targets = nil
	if t.pulls < 2 {
		return
	}
	mean := physics.Force(0)
	for _, s := range t.strings {
		if s.at != nil {
			mean += s.at.Value / physics.Force(t.pulls)
		}
	}
	w.on.targets = slices.Repeat([]physics.Force{mean}, len(t.strings))
	for i := range t.strings {
		t.strings[i].wanted = mean
	}
}

// mend says what would bring a string to what is wished for.
func (w *surveying) mend(i int, s *surveyedString) {
	if s.wanted == 0 || s.at == nil {
		return
	}
	allowed := physics.Coverage * s.at.U
	if w.on.wish.Within > 0 {
		allowed = w.on.wish.Within
	}
	d := s.at.Value - s.wanted
	if s.off = math.Abs(float64(d)) > float64(allowed); !s.off {
		return
	}
	s.needed = survey.Needed(s.weight.Value, s.at.Value, s.wanted)
	if len(w.on.stocked.strings) == 0 {
		return
	}
	best, err := choose.Question{Positions: []choose.Position{w.on.places[i]}, Strings: w.on.stocked.strings,
		Wish: choose.Each(s.wanted), Limits: choose.Limits{MostLoad: usualLoad}}.Best()
	if err != nil || best.Filled() == 0 {
		return
	}
	pick := best.Picks[0]
	if name := w.on.stocked.strings[pick.String].Name; name != s.name && math.Abs(float64(pick.Pull.Value-s.wanted)) < math.Abs(float64(d)) {
		s.other, s.otherPull = name, pick.Pull
	}
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
