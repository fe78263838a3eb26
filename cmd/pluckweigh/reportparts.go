package main

import (
	"fmt"
	"strings"
	"time"

	"pluckweigh/calib"
	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
	paper "pluckweigh/report"
	"pluckweigh/stock"
)

// notKept stands for what the stock does not keep, notKnown for what nobody has said.
const (
	notKept  = "not kept"
	notKnown = "not known"
)

// expandedHead names a column of values with their expanded uncertainty.
func expandedHead(what string) string { return fmt.Sprintf("%s (k = %d)", what, physics.Coverage) }

// measuredCell is a value with its expanded uncertainty, in the unit of the SI named.
func measuredCell[Q physics.Quantity](m physics.Measured[Q], unit string) paper.Cell {
	if m.Value == 0 {
		return paper.Said(notKnown)
	}
	return paper.Of(m.Expanded(physics.Coverage), float64(m.Value), float64(m.U), physics.Coverage, unit)
}

// siUnits are those of what is measured of strings.
var siUnits = map[stock.Property]string{stock.UnitWeight: "kg/m", stock.Outside: "m", stock.Stiffness: "N m²"}

// foundCell is a measurement of a string, or a best value.
func foundCell(m stock.Measurement) paper.Cell {
	return paper.Of(m.String(), m.Value, m.U, physics.Coverage, siUnits[m.Property])
}

// countCell is a cell of how many there are.
func countCell(n int) paper.Cell { return paper.Exactly(fmt.Sprint(n), float64(n), "") }

func orNotKnown(s string) string {
	if s == "" {
		return notKnown
	}
	return s
}

// facts is a table of things said of one thing.
func facts(caption string, rows ...[]paper.Cell) paper.Table {
	return paper.Table{Caption: caption, Columns: []string{"what", "is"}, Rows: rows}
}

func fact(what string, is paper.Cell) []paper.Cell { return []paper.Cell{paper.Said(what), is} }

// budgetsTable is for what the uncertainties of pulls come from, which addBudget puts in.
func budgetsTable(caption string) paper.Table {
	return paper.Table{Caption: caption, Columns: []string{"pull at: input", "input and its standard uncertainty (k = 1)", "share of the variance", "remark"}}
}

func addBudget(t *paper.Table, place string, b physics.Budget) {
	for _, term := range b {
		remark := ""
		if term.Assumed {
			remark = "assumed: nobody stated it"
		}
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(place + ": " + term.Input), paper.Said(term.Said),
			paper.Exactly(fmt.Sprintf("%.0f %%", 100*term.Share), 100*term.Share, "%"), paper.Said(remark)})
	}
}

// budgetSection is a section of that table.
func budgetSection(title string, t paper.Table) paper.Section {
	if len(t.Rows) == 0 {
		return paper.Section{Title: title, Paragraphs: []string{"No pull is known."}}
	}
	return paper.Section{Title: title, Tables: []paper.Table{t}}
}

// drawn is a picture of a report.
func drawn(p chart.Picture, name, say string) (paper.Picture, error) {
	svg, err := p.SVG()
	if err != nil {
		return paper.Picture{}, failure{err}
	}
	return paper.Picture{Name: name, Say: say, SVG: svg}, nil
}

// cautions are those that commands print, without their line breaks.
func cautions(all ...string) []string {
	var out []string
	for _, c := range all {
		out = append(out, strings.Join(strings.Fields(c), " "))
	}
	return out
}

// calibrations tells what is calibrated today.
func calibrations() paper.Section {
	s := paper.Section{Title: "With what, and how it was calibrated", Paragraphs: []string{
		"Recorder, its settings and the calibrations that were applied when something was measured: " + notKept +
			" by the stock, but for what stands with a measurement. Below is what is calibrated on the day of this report; it need not be what was applied then."}}
	all, err := kept()
	if err != nil {
		s.Paragraphs = append(s.Paragraphs, "The calibrations kept cannot be read: "+err.Error())
		return s
	}
	if len(all) == 0 {
		s.Paragraphs = append(s.Paragraphs, "Nothing is calibrated.")
		return s
	}
	t := paper.Table{Caption: "Calibrations on the day of this report", Columns: []string{"number", "of", "found", "made", "remark"}}
	for _, e := range all {
		until := "applied until " + calib.Day(e.Expires)
		if e.Expired(time.Now()) {
			until = "too old since " + calib.Day(e.Expires) + ", not applied"
		}
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(e.ID), paper.Said(title(e)), paper.Said(value(e)), paper.Said(calib.Day(e.Made)), paper.Said(until)})
	}
	s.Tables = append(s.Tables, t)
	return s
}

// howToRead explains what is common to all reports.
func howToRead() paper.Section {
	return paper.Section{Title: "How to read it", Items: []string{
		fmt.Sprintf("± is the expanded uncertainty: k = %d times the standard uncertainty, which holds the truth in about 95 of 100 cases where nothing is said to the contrary (JCGM 100:2008).", physics.Coverage),
		"A share says how much of the variance, the square of the standard uncertainty, comes from one input.",
		notKept + ": the stock does not keep it. " + notKnown + ": nobody has said or measured it.",
	}}
}
