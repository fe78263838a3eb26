package main

import "pluckweigh/survey"

// surveyPluckJSON says which string a pluck is of.
type surveyPluckJSON struct {
	Position *int             `json:"position"`       // from 1; null where it is open
	Among    []int            `json:"among"`          // those that it could be
	How      string           `json:"how"`            // "" where it is open
	Left     []int            `json:"left"`           // positions of which something is to be heard yet
	Also     *surveyPluckJSON `json:"also,omitempty"` // the string that sounded together with it
}

var howNames = map[survey.How]string{survey.ByPitch: "pitch", survey.ByElimination: "elimination", survey.ByOffset: "offset",
	survey.ByName: "named", survey.ByOrder: "order", survey.Alike: "alike"}

func newSurveyPluckJSON(w *surveying, v survey.Verdict) surveyPluckJSON {
	j := surveyPluckJSON{Among: []int{}, How: howNames[v.How], Left: []int{}}
	if v.Place != survey.Nowhere {
		p := v.Place + 1
		j.Position = &p
	}
	for _, p := range v.Among {
		j.Among = append(j.Among, p+1)
	}
	_, states := w.answers()
	for _, p := range w.lacking(states) {
		j.Left = append(j.Left, p+1)
	}
	return j
}

// surveyJSON is what is told of an instrument.
type surveyJSON struct {
	Instrument string            `json:"instrument"`
	Session    *string           `json:"session"`
	Wish       *string           `json:"wish"`
	MostTotal  *float64          `json:"most_total_newton"` // that is allowed, null for not known
	Plucks     int               `json:"plucks"`
	Strings    []surveyedJSON    `json:"strings"`
	Open       []surveyPluckJSON `json:"open"`  // plucks of which it is open which string they are of
	Whole      bool              `json:"whole"` // each pull is known, so that totals are of all
	Total      *float64          `json:"total_newton"`
	UTotal     *float64          `json:"u_total_newton"`
	AtPitch    *float64          `json:"at_pitch_total_newton"`
	UAtPitch   *float64          `json:"u_at_pitch_total_newton"`
	Spread     *float64          `json:"spread_newton"`
	USpread    *float64          `json:"u_spread_newton"`
	SpreadAt   *float64          `json:"at_pitch_spread_newton"`
	USpreadAt  *float64          `json:"u_at_pitch_spread_newton"`
}

type surveyedJSON struct {
	Position    int        `json:"position"`
	Note        string     `json:"note"`
	String      *string    `json:"string"`
	How         string     `json:"how"`
	Plucks      int        `json:"plucks"`
	Good        bool       `json:"good"`
	F0          *float64   `json:"f0_hz"`
	UF0         *float64   `json:"u_f0_hz"`
	F1          *float64   `json:"f1_hz"`
	UF1         *float64   `json:"u_f1_hz"`
	B           *float64   `json:"inharmonicity"`
	UB          *float64   `json:"u_inharmonicity"`
	Cents       *float64   `json:"cents"`
	UCents      *float64   `json:"u_cents"`
	KgPerM      *float64   `json:"kg_per_m"`
	UKgPerM     *float64   `json:"u_kg_per_m"`
	ByClip      bool       `json:"by_clip"`
	Pull        *float64   `json:"tension_newton"`
	UPull       *float64   `json:"u_tension_newton"`
	Budget      []termJSON `json:"budget"`
	AtPitch     *float64   `json:"at_pitch_newton"`
	UAtPitch    *float64   `json:"u_at_pitch_newton"`
	AtBudget    []termJSON `json:"at_pitch_budget"`
	Load        *float64   `json:"load"` // at pitch
	ULoad       *float64   `json:"u_load"`
	Wanted      *float64   `json:"wanted_newton"`
	Off         bool       `json:"off_the_wish"`
	Needed      *float64   `json:"needed_kg_per_m"`
	Other       *string    `json:"other_string"` // in stock, nearer to the wish
	OtherNewton *float64   `json:"other_newton"`
	UOther      *float64   `json:"u_other_newton"`
	Doubts      []saidJSON `json:"doubts"`
}

func (t *surveyTold) json() surveyJSON {
	j := surveyJSON{Instrument: t.on.Name, Session: orNull(t.w.session), MostTotal: orNull(float64(t.on.Most)), Plucks: len(t.w.plucks),
		Strings: []surveyedJSON{}, Open: []surveyPluckJSON{}, Whole: t.whole()}
	if len(t.on.targets) > 0 {
		said := wishSaid(t.on.wish, true)
		j.Wish = &said
	}
	if t.pulls > 0 {
		j.Total, j.UTotal = measuredJSON(t.found.Measured)
		j.AtPitch, j.UAtPitch = measuredJSON(t.at.Measured)
	}
	if t.spread != nil {
		j.Spread, j.USpread = measuredJSON(t.spread.Measured)
		j.SpreadAt, j.USpreadAt = measuredJSON(t.spreadAt.Measured)
	}
	for i := range t.strings {
		j.Strings = append(j.Strings, t.stringJSON(i))
	}
	for _, v := range t.verdicts {
		if v.Place == survey.Nowhere {
			j.Open = append(j.Open, newSurveyPluckJSON(t.w, v))
		}
	}
	return j
}

func (t *surveyTold) stringJSON(i int) surveyedJSON {
	s := t.strings[i]
	j := surveyedJSON{Position: i + 1, Note: t.on.places[i].Note, String: orNull(s.name), How: howNames[s.How], Plucks: len(s.Plucks), Good: s.Good,
		Budget: []termJSON{}, AtBudget: []termJSON{}, Wanted: orNull(float64(s.wanted)), Off: s.off, Needed: orNull(float64(s.needed)), Other: orNull(s.other), Doubts: saidsJSON(s.doubts)}
	if s.Heard() {
		j.F0, j.UF0 = measuredJSON(s.F0)
		j.F1, j.UF1 = measuredJSON(s.F1)
		j.Cents, j.UCents = finite(s.Cents), finite(s.U)
		if !s.B.Assumed {
			j.B, j.UB = measuredJSON(s.B)
		}
	}
	if s.weight.Value > 0 {
		j.KgPerM, j.UKgPerM = measuredJSON(s.weight)
		j.ByClip = s.byClip
	}
	if s.found != nil {
		j.Pull, j.UPull = measuredJSON(s.found.Measured)
		j.AtPitch, j.UAtPitch = measuredJSON(s.at.Measured)
		j.Budget, j.AtBudget = budgetJSON(s.found.Budget), budgetJSON(s.at.Budget)
	}
	if s.load != nil {
		j.Load, j.ULoad = measuredJSON(s.load.Load.Measured)
	}
	if s.other != "" {
		j.OtherNewton, j.UOther = measuredJSON(s.otherPull.Measured)
	}
	return j
}
