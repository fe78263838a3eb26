package main

import (
	"fmt"

	paper "pluckweigh/report"
	"pluckweigh/stock"
)

// stringsOn tells of the strings that are on it.
func stringsOn(x stock.Instrument, on []reportedOn) paper.Section {
	t := paper.Table{Caption: "Strings by position, as they are in stock", Columns: []string{"position", "string", "kind", expandedHead("unit weight"), "of", expandedHead("diameter")}}
	for i, s := range on {
		if s.name == "" {
			t.Rows = append(t.Rows, []paper.Cell{paper.Said(placeOf(x, i)), paper.Said(notKnown), paper.Said(""), paper.Said(""), paper.Said(""), paper.Said("")})
			continue
		}
		weight, a := s.is.Best(stock.UnitWeight)
		of := a.String()
		if s.is.ByGauge {
			of = "its gauge and material"
		}
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(placeOf(x, i)), paper.Said(s.name), paper.Said(orNotKnown(s.is.Kind.String())),
			bestCell(weight), paper.Said(of), bestCell(firstOf(s.is.Best(stock.Outside)))})
	}
	return paper.Section{Title: "Its strings", Tables: []paper.Table{t}}
}

func firstOf(m stock.Measurement, _ stock.Agreement) stock.Measurement { return m }

// bestCell is a best value, if there is one.
func bestCell(m stock.Measurement) paper.Cell {
	if m.Value == 0 {
		return paper.Said(notKnown)
	}
	return foundCell(m)
}

// fewShown is how many measurements of each of its strings an instrument's report lists.
const fewShown = 12

// stringsMeasured lists the latest measurements of each string that is on it, once.
func stringsMeasured(on []reportedOn) paper.Section {
	s := paper.Section{Title: "How its strings were measured"}
	told := map[string]bool{}
	for _, o := range on {
		if len(o.is.Measurements) > 0 && !told[o.name] {
			s.Tables = append(s.Tables, measurementTables(o.is, fewShown)...)
			told[o.name] = true
		}
	}
	if len(s.Tables) == 0 {
		s.Paragraphs = []string{"Nothing of them was measured."}
		return s
	}
	s.Paragraphs = []string{"Shares of each of these uncertainties by input: " + notKept + "."}
	return s
}

// instrumentDoubts say what may be wrong with the pulls.
func instrumentDoubts(x stock.Instrument, on []reportedOn) []string {
	var all []string
	for i, o := range on {
		if o.why != "" {
			all = append(all, fmt.Sprintf("%s: %s.", placeOf(x, i), o.why))
			continue
		}
		for _, d := range o.doubts {
			all = append(all, fmt.Sprintf("%s, %s: %s.", placeOf(x, i), o.name, d.Say))
		}
		for _, d := range stringDoubts(o.is) {
			all = append(all, fmt.Sprintf("%s, %s: %s", placeOf(x, i), o.name, d))
		}
	}
	return all
}
