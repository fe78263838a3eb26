package main

import (
	"fmt"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
	"pluckweigh/survey"
)

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
