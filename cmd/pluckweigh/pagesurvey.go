package main

import (
	"context"
	"fmt"
	"strconv"
	"sync"
	"time"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/survey"
	"pluckweigh/web"
)

// A pageSurvey surveys an instrument on a page as the command does.
type pageSurvey struct {
	file *stockFile

	mu       sync.Mutex
	w        *surveying
	position int // that plucks are said to be of, survey.Nowhere for none
	latest   string
}

// newPageSurvey begins or continues what was asked for. What is wrong is told by the place
// where it was typed, and there is none then.
func newPageSurvey(ctx context.Context, file *stockFile, a web.SurveyAsk, troubles map[string]web.Trouble) *pageSurvey {
	w := newSurveying()
	s := &pageSurvey{file: file, w: w, position: survey.Nowhere}
	t := typing{"survey-", troubles, false}
	t.set("good", a.Good, w.good.Set)
	t.set("out", a.Out, w.out.Set)
	t.set("down", a.Down, w.down.Set)
	t.set("clip", a.Clip, w.clip.Set)
	t.set("ends", a.Ends, w.held.Set)
	w.wish.pull.sep, w.wish.slope.sep = ",", ":"
	t.set("pull", a.Pull, w.wish.pull.Set)
	t.set("slope", a.Slope, w.wish.slope.Set)
	t.set("session", a.Session, stock.CheckSession)
	w.inOrder, w.wish.even, w.session = a.InOrder, a.Even, a.Session
	if t.wrong {
		return nil
	}
	if err := w.checkRules(); err != nil {
		t.refuse("good", err)
		return nil
	}
	if err := w.wish.check(); err != nil {
		t.refuse("pull", err)
		return nil
	}
	err := file.read(ctx, func(st *stock.Store) (err error) {
		if w.on, err = w.read(ctx, st, a.Instrument); err != nil || w.session == "" {
			return err
		}
		if err := w.resume(st); err != nil && !isMissing(err) {
			t.refuse("session", surveyError(err))
		}
		return nil
	})
	if err != nil {
		t.refuse("instrument", err)
	}
	t.set("position", a.Position, func(text string) error {
		n, err := strconv.Atoi(text)
		if w.on != nil && (err != nil || n < 1 || n > len(w.on.places)) {
			return &callError{fmt.Sprintf("there is no position %s of %d", text, len(w.on.places)), "count them from 1"}
		}
		s.position = n - 1
		return nil
	})
	if t.wrong {
		return nil
	}
	return s
}

func (s *pageSurvey) early() bool { return true }

func (s *pageSurvey) hear(x []float64, rate float64, o detect.Options) (detect.Take, error) {
	o.Near = 0 // which names one note, and an instrument has several
	if s.w.clip.given {
		return s.w.eitherWay(x, rate, o)
	}
	return s.w.bare(x, rate, o)
}

func (s *pageSurvey) keep(ctx context.Context, m measured, p detect.Pluck) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	w := s.w
	if w.last = -1; !counts(m.answer.take, p) {
		return nil
	}
	k, err := w.pluck(m.answer, p, m.at, m.onset, s.position)
	if err != nil {
		return err
	}
	if w.session == "" {
		w.session = time.Now().Format(time.DateTime)
	}
	if err := s.file.change(ctx, func(st *stock.Store) error {
		w.store = st
		defer func() { w.store = nil }()
		return w.add(ctx, k)
	}); err != nil {
		return err
	}
	s.latest, _ = w.told()
	return nil
}

func (s *pageSurvey) told(context.Context) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	t, err := s.w.soFar()
	if err != nil {
		return nil, err
	}
	return struct {
		Survey pageSurveyJSON `json:"survey"`
	}{newPageSurveyJSON(t, s.latest)}, nil
}

// pageSurveyJSON is how far a survey has come: as survey --json prints it, and in words.
type pageSurveyJSON struct {
	Caution []string           `json:"caution"` // that stands before strings are tuned
	Session string             `json:"session"`
	Latest  string             `json:"latest"` // what came of the last pluck, empty for none yet
	Done    string             `json:"done"`
	Wanted  string             `json:"wanted"`
	Rows    []pageSurveyedJSON `json:"rows"`
	Totals  []pageLine         `json:"totals"`
	Mend    []string           `json:"mend"`
	Open    []string           `json:"open"`
	Data    surveyJSON         `json:"data"`
}

type pageLine struct {
	Name string `json:"name"`
	Say  string `json:"say"`
}

// pageSurveyedJSON is one string.
type pageSurveyedJSON struct {
	Position int      `json:"position"`
	Place    string   `json:"place"`
	String   string   `json:"string"`
	State    string   `json:"state"` // open, heard or good
	Plucks   int      `json:"plucks"`
	Cents    string   `json:"cents"`
	Pulls    string   `json:"pulls"`
	AtPitch  string   `json:"at_pitch"`
	Wish     string   `json:"wish"`
	Weight   string   `json:"unit_weight"` // by the clip
	Doubts   []string `json:"doubts"`
}

func newPageSurveyJSON(t *surveyTold, latest string) pageSurveyJSON {
	w := t.w
	_, states := w.answers()
	j := pageSurveyJSON{Caution: []string{caution, whip}, Session: w.session, Latest: latest, Done: w.progress(), Wanted: w.wanted(states), Rows: []pageSurveyedJSON{}, Totals: []pageLine{},
		Mend: append([]string{}, t.mends()...), Open: append([]string{}, t.open()...), Data: t.json()}
	if t.on.leftOut != "" {
		j.Open = append(j.Open, t.on.leftOut)
	}
	if w.clip.given {
		j.Caution = append(j.Caution, clipCaution)
	}
	for i, s := range t.strings {
		j.Rows = append(j.Rows, t.pageRow(i, s))
	}
	for _, l := range t.totals() {
		j.Totals = append(j.Totals, pageLine{l.name, l.say})
	}
	return j
}

func (t *surveyTold) pageRow(i int, s surveyedString) pageSurveyedJSON {
	const k = physics.Coverage
	r := pageSurveyedJSON{Position: i + 1, Place: t.place(i), String: s.name, State: "open", Plucks: len(s.Plucks), Doubts: []string{}}
	if s.Heard() {
		r.State, r.Cents = "heard", expandedCents(s.Cents, s.U)
	}
	if s.Good {
		r.State = "good"
	}
	if s.found != nil {
		r.Pulls, r.AtPitch = s.found.Expanded(k), s.at.Expanded(k)
	}
	if s.wanted > 0 {
		r.Wish = physics.Format(s.wanted, 0, 4)
	}
	if s.byClip {
		r.Weight = s.weight.Expanded(k)
	}
	for _, d := range s.doubts {
		if d.Code != notHeard { // which its state says
			r.Doubts = append(r.Doubts, d.Say)
		}
	}
	return r
}
