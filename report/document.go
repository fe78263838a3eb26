// Package report is a report on paper or screen: what it says, and the same as a page
// of HTML that needs nothing else, as a list (CSV) and as JSON. All three are written
// from one Document, so that no number can differ. It knows nothing of strings, sound
// or storage.
package report

import (
	"math"
	"time"
)

// A Document is a whole report.
type Document struct {
	Title    string    `json:"report"`
	Program  string    `json:"program"` // and its version
	Made     time.Time `json:"made"`
	Sections []Section `json:"sections"`
	Cautions []string  `json:"cautions"`
}

// A Section is a part of it under one heading.
type Section struct {
	Title      string    `json:"title"`
	Paragraphs []string  `json:"paragraphs,omitempty"`
	Items      []string  `json:"items,omitempty"` // of a list
	Tables     []Table   `json:"tables,omitempty"`
	Pictures   []Picture `json:"pictures,omitempty"`
}

// A Table has as many cells in each row as columns; the first names the row.
type Table struct {
	Caption string   `json:"caption"`
	Columns []string `json:"columns"`
	Rows    [][]Cell `json:"rows"`
}

// A Cell is what a person reads, and the number that it is made of.
type Cell struct {
	Text   string  `json:"text"`
	Number *Number `json:"number"` // nil for none
}

// A Number is a value with its standard uncertainty, in the unit named.
type Number struct {
	Value float64  `json:"value"`
	U     *float64 `json:"u"` // nil where the value has none
	// K is by how many standard uncertainties the text lets it be off; 0 for none shown.
	K    float64 `json:"k"`
	Unit string  `json:"unit"` // empty for a bare number
}

// A Picture is drawn in an SVG document; Name and Say tell what it shows to who cannot
// see it.
type Picture struct {
	Name string `json:"picture"`
	Say  string `json:"say"`
	SVG  []byte `json:"-"`
}

// Said is a cell of words.
func Said(text string) Cell { return Cell{Text: text} }

// Of is a cell of a number that is printed as text with k times its standard
// uncertainty u. One that is not finite is words alone, a u that is not is none.
func Of(text string, value, u, k float64, unit string) Cell {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return Said(text)
	}
	c := Cell{text, &Number{Value: value, K: k, Unit: unit}}
	if !math.IsNaN(u) && !math.IsInf(u, 0) {
		c.Number.U = &u
	}
	return c
}

// Exactly is a cell of a number that has no uncertainty, such as a count or a limit.
func Exactly(text string, value float64, unit string) Cell {
	return Of(text, value, math.NaN(), 0, unit)
}
