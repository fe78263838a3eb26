package main

import (
	"context"
	"fmt"
	"slices"

	"pluckweigh/physics"
	paper "pluckweigh/report"
	"pluckweigh/stock"
	"pluckweigh/survey"
)

// howSaid says how a string was recognised.
var howSaid = map[survey.How]string{survey.ByPitch: "by its pitch", survey.ByElimination: "by where the others are", survey.ByOffset: "by all strings together",
	survey.ByName: "named", survey.ByOrder: "by the order of plucks", survey.Alike: "one of several that are alike"}

// lastSurvey is the name of the survey in which an instrument was heard last, empty for
// none.
func lastSurvey(ctx context.Context, st *stock.Store, instrument string) (string, error) {
	all, err := st.Surveys(ctx)
	for _, x := range all {
		if x.Instrument == instrument {
			return x.Name, err
		}
	}
	return "", err
}

// surveyReported tells what was heard of an instrument in a survey, and what the
// uncertainties of that come from, and what of it is beyond what is allowed.
func surveyReported(ctx context.Context, st *stock.Store, instrument, session string, held physics.Ends) (all []paper.Section, beyond []string, err error) {
	w := newSurveying()
	w.session, w.held.Ends = session, held
	if w.on, err = w.read(ctx, st, instrument); err != nil {
		return nil, nil, err
	}
	if err := w.resume(st); err != nil {
		return nil, nil, err
	}
	t, err := w.answer()
	if err != nil {
		return nil, nil, err
	}
	heard := paper.Section{Title: "As it was heard", Paragraphs: []string{fmt.Sprintf(
		"%s of the survey %q. Which string each is of is worked out anew, none being taken for further out of tune than %g cents but where it was named.", counted(len(w.plucks), "pluck"), session, float64(w.out.Value))},
		Tables: []paper.Table{t.heardTable()}}
	if t.on.leftOut != "" {
		heard.Paragraphs = append(heard.Paragraphs, t.on.leftOut+".")
	}
	if len(t.on.targets) > 0 {
		heard.Tables = append(heard.Tables, t.wishTable())
	}
	if t.pulls > 0 {
		heard.Tables = append(heard.Tables, t.totalsTable())
		beyond = append(beyondAllowed(t.on.Most, t.found, "as found"), beyondAllowed(t.on.Most, t.at, "at pitch, by what was heard")...)
		picture, err := drawn(t.picture(), "Pulls as found and at pitch by position",
			fmt.Sprintf("The pull of each string in newtons by position, as found and as it will be at pitch, with bars of its expanded uncertainty (k = %d). The table above has the numbers.", physics.Coverage))
		if err != nil {
			return nil, nil, err
		}
		heard.Pictures = append(heard.Pictures, picture)
	}
	all = append(all, heard)
	if mends := t.mends(); len(mends) > 0 {
		all = append(all, paper.Section{Title: "What would mend it", Items: mends})
	}
	if doubts := t.allDoubts(); len(doubts) > 0 {
		all = append(all, paper.Section{Title: "Doubts about what was heard", Items: doubts})
	}
	return append(all, t.plucksSection(), t.budgets()), beyond, nil
}

// heardTable tells of each string.
func (t *surveyTold) heardTable() paper.Table {
	out := paper.Table{Caption: "Each string as found and as it will pull at pitch",
		Columns: []string{"position", "string", expandedHead("off the note"), expandedHead("pull as found"), expandedHead("pull at pitch"), expandedHead("f0 as found, by the recorder's clock"), "plucks", "recognised"}}
	for i, s := range t.strings {
		row := []paper.Cell{paper.Said(t.place(i)), paper.Said(orNotKnown(s.name))}
		if !s.Heard() {
			out.Rows = append(out.Rows, append(row, paper.Said("not heard"), paper.Said(notKnown), paper.Said(notKnown), paper.Said(notKnown), countCell(0), paper.Said("")))
			continue
		}
		row = append(row, paper.Of(expandedCents(s.Cents, s.U)+" cents", s.Cents, s.U, physics.Coverage, "cents"))
		if s.found == nil {
			row = append(row, paper.Said(notKnown), paper.Said(notKnown))
		} else {
			row = append(row, measuredCell(s.found.Measured, "N"), measuredCell(s.at.Measured, "N"))
		}
		out.Rows = append(out.Rows, append(row, measuredCell(s.F0, "Hz"), countCell(len(s.Plucks)), paper.Said(howSaid[s.How])))
	}
	return out
}

// wishTable tells what each string pulls at pitch beside what is wished for.
func (t *surveyTold) wishTable() paper.Table {
	out := paper.Table{Caption: "The wish: " + wishSaid(t.on.wish, true), Columns: []string{"position", "string", "wish", expandedHead("at pitch, beside the wish")}}
	for i, s := range t.strings {
		out.Rows = append(out.Rows, append([]paper.Cell{paper.Said(t.place(i)), paper.Said(orNotKnown(s.name))}, wishCells(s.wanted, s.at)...))
	}
	return out
}

// totalsTable tells what holds of all strings together.
func (t *surveyTold) totalsTable() paper.Table {
	name := "total"
	if !t.whole() {
		name = fmt.Sprintf("total of %d of %d strings: the others are not counted", t.pulls, len(t.strings))
	}
	rows := [][]paper.Cell{fact(expandedHead(name+", as found"), measuredCell(t.found.Measured, "N")), fact(expandedHead(name+", at pitch"), measuredCell(t.at.Measured, "N"))}
	if t.spread != nil {
		rows = append(rows, fact(expandedHead("spread as found, from the lowest to the highest"), measuredCell(t.spread.Measured, "N")),
			fact(expandedHead("spread at pitch"), measuredCell(t.spreadAt.Measured, "N")))
	}
	return facts("All strings together, as heard", append(rows, besideAllowed(t.on.Most, t.at, t.whole())...)...)
}

// allDoubts are those about strings, and about plucks of which it is open whose they are.
func (t *surveyTold) allDoubts() []string {
	var all []string
	for i, s := range t.strings {
		for _, d := range s.doubts {
			all = append(all, t.place(i)+": "+d.Say)
		}
	}
	return append(all, t.open()...)
}

// plucksSection lists what was heard, and by what.
func (t *surveyTold) plucksSection() paper.Section {
	s := paper.Section{Title: "Plucks"}
	out := paper.Table{Caption: "What was heard, in that order", Columns: []string{"number", "when", "in", expandedHead("f0, by the recorder's clock"), expandedHead("inharmonicity B"), "u of the recorder's clock (k = 1)", "taken for"}}
	every := thinned(len(t.w.plucks))
	if every > 1 {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Of %d plucks every %dth is listed.", len(t.w.plucks), every))
	}
	for i := 0; i < len(t.w.plucks); i += every {
		p := t.w.plucks[i]
		b, source, whose := paper.Said("not heard"), "live", "open"
		if !p.B.Assumed {
			b = paper.Of(p.B.Expanded(physics.Coverage), float64(p.B.Value), float64(p.B.U), physics.Coverage, "")
		}
		if p.Source != "" {
			source = fmt.Sprintf("%s at %.1f s", p.Source, p.Start)
		}
		if v := t.verdicts[i]; v.Place != survey.Nowhere {
			whose = t.place(v.Place)
			if !slices.Contains(t.strings[v.Place].Plucks, i) {
				whose += ", not counted"
			}
		}
		clock := fmt.Sprintf("%.2g ppm", 1e6*p.Clock.U)
		if p.Clock.Said != "" {
			clock += ", " + p.Clock.Said
		}
		out.Rows = append(out.Rows, []paper.Cell{countCell(i + 1), paper.Said(p.At.Format(minute)), paper.Said(source), measuredCell(p.Heard.F0, "Hz"), b,
			paper.Exactly(clock, 1e6*p.Clock.U, "ppm"), paper.Said(whose)})
	}
	s.Tables = append(s.Tables, out)
	return s
}

// budgets tell what the uncertainty of each pull comes from.
func (t *surveyTold) budgets() paper.Section {
	out := budgetsTable("The uncertainty of each pull as found, by what it comes from")
	for i, s := range t.strings {
		if s.found != nil {
			addBudget(&out, t.place(i), s.found.Budget)
		}
	}
	return budgetSection("What the uncertainties of the pulls heard come from", out)
}
