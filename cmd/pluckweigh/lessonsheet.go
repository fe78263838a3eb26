package main

import (
	"fmt"
	"slices"
	"time"

	"pluckweigh/lesson"
	"pluckweigh/physics"
	paper "pluckweigh/report"
)

// toFillIn is how many rows a sheet without points has.
const toFillIn = 10

// writeSheet writes the page of a lesson: with what was found, or, where there is no
// outcome, to be filled in by hand.
func (w *teaching) writeSheet(c *class, o *lesson.Outcome, g lesson.Givens) error {
	d, err := lessonSheet(w.of, c.points, o, g)
	if err != nil {
		return err
	}
	d.Program, d.Made = "pluckweigh "+version(), time.Now().Truncate(time.Second)
	if err := put(w.sheet, w.e.overwrite, d.WriteHTML); err != nil {
		return err
	}
	fmt.Fprintf(w.e.err, "wrote %s\n", w.sheet)
	return nil
}

// lessonSheet is the sheet of a lesson.
func lessonSheet(l *lesson.Lesson, points []lesson.Point, o *lesson.Outcome, g lesson.Givens) (*paper.Document, error) {
	d := &paper.Document{Title: l.Title, Cautions: cautions(l.Cautions...)}
	d.Sections = append(d.Sections,
		paper.Section{Title: "The question", Paragraphs: []string{l.Question}},
		paper.Section{Title: "What to do", Items: l.Steps},
		paper.Section{Title: "What is expected", Paragraphs: []string{l.Law, "Source: " + l.Source + "."}})
	if o == nil {
		d.Sections = append(d.Sections, blankSheet(l))
		return d, nil
	}
	found, err := lessonFound(l, o)
	if err != nil {
		return nil, err
	}
	d.Sections = append(d.Sections, found, lessonPoints(l, points, o, g))
	if len(o.Doubts) > 0 {
		d.Sections = append(d.Sections, paper.Section{Title: "Doubts", Items: o.Doubts})
	}
	d.Sections = append(d.Sections, paper.Section{Title: "How to read it", Items: []string{
		"An interval says where the truth lies in 95 of 100 classes that measure like this one: ± is the standard uncertainty times k, Student's t for the degrees of freedom that there are (JCGM 100:2008, G.3).",
		"The line is the likeliest with errors in both coordinates (York and others, Am. J. Phys. 72 (2004) 367). How large these are is taken from how the points scatter about it.",
		"A law that the data agree with is not proven: another would have to differ from it by less than the interval.",
	}})
	return d, nil
}

// blankSheet has a table to be filled in by hand.
func blankSheet(l *lesson.Lesson) paper.Section {
	t := paper.Table{Caption: "Measured", Columns: []string{"point"}}
	axes := append(slices.Clone(l.X), l.Y)
	for _, a := range axes {
		t.Columns = append(t.Columns, axisTitle(a), "± (k = 1)")
	}
	t.Columns = append(t.Columns, "remark")
	for i := range toFillIn {
		row := []paper.Cell{paper.Said(fmt.Sprint(i + 1))}
		for range t.Columns[1:] {
			row = append(row, paper.Said(""))
		}
		t.Rows = append(t.Rows, row)
	}
	s := paper.Section{Title: "What was measured", Tables: []paper.Table{t}}
	if len(l.Givens) > 0 {
		var rows [][]paper.Cell
		for _, a := range l.Givens {
			rows = append(rows, fact(axisTitle(a), paper.Said("")))
		}
		s.Tables = append(s.Tables, facts("Told once", rows...))
	}
	s.Paragraphs = []string{"What do you expect, before you measure?", "What do the data say: do they agree with the law, contradict it, or do they not show it? How well do you know that?"}
	return s
}

func axisTitle(a lesson.Axis) string {
	if a.Symbol == "" {
		return a.Name
	}
	return a.Name + ", " + a.Symbol
}

// lessonFound has the verdict, the constants and the picture.
func lessonFound(l *lesson.Lesson, o *lesson.Outcome) (paper.Section, error) {
	s := paper.Section{Title: "What was found", Paragraphs: []string{o.Say}}
	for _, n := range o.Next {
		s.Items = append(s.Items, "Next: "+n)
	}
	t := paper.Table{Caption: "Constants", Columns: []string{"what", "found", "expected"}}
	for _, f := range o.Findings {
		expected := ""
		if f.Expected != nil || f.AboveZero {
			expected = f.Says()
		}
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(f.Name), paper.Of(f.Text(), f.Value.V, f.Value.U, f.K, f.Unit), paper.Said(expected)})
	}
	if len(t.Rows) > 0 {
		s.Tables = append(s.Tables, t)
	}
	if len(o.Curve) == 0 {
		return s, nil
	}
	f, err := lessonPicture(l, o)
	if err != nil {
		return s, err
	}
	p, err := drawn(f, "Points and law, and below what is left over",
		fmt.Sprintf("%s of %s over %s as dots with bars, the law that fits with its band, and below how far each point lies off it.", counted(o.Used, "point"), o.Axes.Y, o.Axes.X))
	s.Pictures = append(s.Pictures, p)
	return s, err
}

// lessonPoints lists what was measured.
func lessonPoints(l *lesson.Lesson, points []lesson.Point, o *lesson.Outcome, g lesson.Givens) paper.Section {
	t := paper.Table{Caption: "Points", Columns: []string{"point"}}
	for _, a := range append(slices.Clone(l.X), l.Y) {
		t.Columns = append(t.Columns, expandedHead(axisTitle(a)))
	}
	t.Columns = append(t.Columns, o.Axes.Off, "remark")
	cell := func(a lesson.Axis, v lesson.Value) paper.Cell {
		return paper.Of(a.Say(v, physics.Coverage), v.V, v.U, physics.Coverage, a.Unit)
	}
	for i, p := range points {
		row := []paper.Cell{paper.Said(fmt.Sprint(i + 1))}
		for k, a := range l.X {
			if k < len(p.X) {
				row = append(row, cell(a, p.X[k]))
			} else {
				row = append(row, paper.Said("-"))
			}
		}
		off := paper.Said("-")
		if q := o.Placed[i]; q.Fits {
			off = paper.Exactly(offOf(q), q.Off, "")
		}
		t.Rows = append(t.Rows, append(row, cell(l.Y, p.Y), off, paper.Said(remarkOf(p, o, i))))
	}
	s := paper.Section{Title: "What was measured", Tables: []paper.Table{t}}
	var rows [][]paper.Cell
	for _, a := range l.Givens {
		if v, told := g[a.Name]; told {
			rows = append(rows, fact(expandedHead(axisTitle(a)), cell(a, v)))
		}
	}
	if len(rows) > 0 {
		s.Tables = append(s.Tables, facts("Told once", rows...))
	}
	return s
}
