package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
	paper "pluckweigh/report"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
)

// wishAtPitch says of each string what is wished for, if a wish is kept, and why not where
// that cannot be told.
func wishAtPitch(ctx context.Context, st *stock.Store, x stock.Instrument, places []choose.Position, held physics.Ends, on []reportedOn) (why string) {
	if x.Wish.Kind == stock.NoWish || x.Wish.Feel > 0 {
		return ""
	}
	wish, err := overPositions(ctx, st, x.Wish, places, held)
	if err != nil {
		return fmt.Sprintf("The wish kept with it cannot be told: %v.", err)
	}
	if x.Wish.Kind == stock.EvenWish {
		wish.Targets = meanOf(on)
	}
	for i, f := range wish.Targets {
		on[i].wanted = f
	}
	return ""
}

// wishCells tell what is wished for, and what a pull is beside it.
func wishCells(wanted physics.Force, pull *physics.Result[physics.Force]) []paper.Cell {
	cells := []paper.Cell{paper.Said(notKnown), paper.Said(notKnown)}
	if wanted == 0 {
		return cells
	}
	cells[0] = paper.Exactly(physics.Format(wanted, 0, 4), float64(wanted), "N")
	if pull != nil {
		by := physics.Stated(pull.Value-wanted, pull.U)
		cells[1] = paper.Of(by.Expanded(physics.Coverage), float64(by.Value), float64(by.U), physics.Coverage, "N")
	}
	return cells
}

// meanOf wishes that all strings pull as those known do in the mean; none where fewer than
// two are.
func meanOf(on []reportedOn) []physics.Force {
	var sum, n physics.Force
	for _, o := range on {
		if o.pull != nil {
			sum, n = sum+o.pull.Value, n+1
		}
	}
	if n < 2 {
		return nil
	}
	return slices.Repeat([]physics.Force{sum / n}, len(on))
}

// pullsAtPitch tells what each string pulls, and all together, and whether that is beyond
// what is allowed.
func pullsAtPitch(x stock.Instrument, on []reportedOn) (s paper.Section, beyond []string, err error) {
	s = paper.Section{Title: "Pulls at pitch", Paragraphs: []string{"Worked out from speaking length, note and unit weight; not heard."}}
	t := paper.Table{Caption: "What each string pulls when it is in tune", Columns: []string{"position", "string", expandedHead("pull"), "wish", expandedHead("beside the wish"), expandedHead("core carries"), "remark"}}
	wished := slices.ContainsFunc(on, func(o reportedOn) bool { return o.wanted > 0 })
	if !wished {
		t.Columns = slices.Delete(t.Columns, 3, 5)
	}
	var all []physics.Result[physics.Force]
	l := chart.Levels{Title: x.Name + ": pulls at pitch", X: "position", Y: "pull (N)", K: physics.Coverage}
	low, high, loaded := math.Inf(1), math.Inf(-1), false
	for i, o := range on {
		pull, load, level := paper.Said(notKnown), paper.Said(notKnown), chart.Level{Place: placeOf(x, i), Name: o.name, None: o.pull == nil}
		if o.pull != nil {
			pull = measuredCell(o.pull.Measured, "N")
			level.Y, level.U = float64(o.pull.Value), float64(o.pull.U)
			if o.load != nil {
				l := o.load.Load
				load, loaded = paper.Of(loadSaid(o.load), 100*float64(l.Value), 100*float64(l.U), physics.Coverage, "%"), true
			}
			low, high = min(low, level.Y), max(high, level.Y)
			all = append(all, *o.pull)
		}
		row := []paper.Cell{paper.Said(placeOf(x, i)), paper.Said(orNotKnown(o.name)), pull}
		if wished {
			level.Wish, l.Wished = float64(o.wanted), "wish"
			row = append(row, wishCells(o.wanted, o.pull)...)
		}
		l.Levels = append(l.Levels, level)
		t.Rows = append(t.Rows, append(row, load, paper.Said(o.why)))
	}
	if loaded {
		s.Paragraphs = append(s.Paragraphs, strings.ToUpper(loadMeans[:1])+loadMeans[1:]+".")
	}
	s.Tables = append(s.Tables, t)
	if len(all) == 0 {
		s.Paragraphs = append(s.Paragraphs, "No pull is known.")
		return s, nil, nil
	}
	total, err := physics.Total(all, physics.OneBench)
	if err != nil {
		return s, nil, err
	}
	var spread *physics.Result[physics.Force]
	if len(all) > 1 {
		if spread, err = spreadOfPulls(all); err != nil {
			return s, nil, err
		}
	}
	s.Tables = append(s.Tables, together(x, len(all), len(on), spread, total))
	picture, err := drawn(l, "Pulls at pitch by position", fmt.Sprintf("The pull of each string in newtons by position, with bars of its expanded uncertainty (k = %d), from %.3g to %.3g N. The table above has the numbers.", physics.Coverage, low, high))
	s.Pictures = append(s.Pictures, picture)
	return s, beyondAllowed(x.Most, total, "at pitch, as worked out"), err
}

// together tells what holds of the pulls of all strings, or of those known.
func together(x stock.Instrument, known, of int, spread *physics.Result[physics.Force], total physics.Result[physics.Force]) paper.Table {
	name := "total"
	if known < of {
		name = fmt.Sprintf("total of %d of %d strings: the others are not counted", known, of)
	}
	rows := [][]paper.Cell{fact(expandedHead(name), measuredCell(total.Measured, "N"))}
	if spread != nil {
		rows = append(rows, fact(expandedHead("spread, from the lowest to the highest"), measuredCell(spread.Measured, "N")))
	}
	return facts("All strings together", append(rows, besideAllowed(x.Most, total, known == of)...)...)
}

// beyondAllowed warns of a total that is more than is allowed, or may be; nothing
// otherwise.
func beyondAllowed(most physics.Force, total physics.Result[physics.Force], when string) []string {
	is := fmt.Sprintf("the strings that are known pull %s (k = %d) together %s", total.Expanded(physics.Coverage), physics.Coverage, when)
	switch {
	case most == 0:
	case total.Value > most:
		return []string{fmt.Sprintf("MORE THAN IS ALLOWED: %s, and %s are allowed. Do not tune it up; slacken it and ask the instrument's maker or a qualified luthier.", is, physics.Format(most, 0, 6))}
	case total.Value+physics.Coverage*total.U > most:
		return []string{fmt.Sprintf("It may be more than is allowed: %s, and %s are allowed. Ask the instrument's maker or a qualified luthier before tuning it up.", is, physics.Format(most, 0, 6))}
	}
	return nil
}

// besideAllowed tells what is allowed, and whether a total of all strings, or of those
// known, keeps to it.
func besideAllowed(most physics.Force, total physics.Result[physics.Force], whole bool) [][]paper.Cell {
	var rows [][]paper.Cell
	if most > 0 {
		rows = append(rows, fact("allowed", paper.Exactly(physics.Format(most, 0, 6), float64(most), "N")))
	}
	verdict := "what is allowed is not known: ask the instrument's maker"
	switch {
	case most == 0:
	case total.Value > most:
		verdict = "MORE THAN IS ALLOWED: do not tune it up"
	case total.Value+physics.Coverage*total.U > most:
		verdict = "its uncertainty reaches more than is allowed"
	case !whole:
		verdict = "not known: strings are missing in the total"
	default:
		verdict = "within what is allowed; ask the instrument's maker before raising it"
	}
	return append(rows, fact("beside what is allowed", paper.Said(verdict)))
}

// budgets tell what the uncertainty of each pull comes from.
func budgets(x stock.Instrument, on []reportedOn) paper.Section {
	t := budgetsTable("The uncertainty of each pull at pitch, by what it comes from")
	for i, o := range on {
		if o.pull != nil {
			addBudget(&t, placeOf(x, i), o.pull.Budget)
		}
	}
	return budgetSection("What the uncertainties at pitch come from", t)
}
