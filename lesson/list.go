package lesson

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"pluckweigh/lines"
	"pluckweigh/physics"
	"pluckweigh/physics/spelling"
)

// Columns of a list beside those of the lesson's axes.
const (
	takeColumn   = "take"
	groupColumn  = "string"
	asideColumn  = "set aside"
	sourceColumn = "from"
)

// An Entry is one line of a list: a point, or what was told with a take that is still to
// be heard.
type Entry struct {
	Line  int
	Point Point
	Take  string // empty for none
}

// A cell is where in a line something stands, and in what unit numbers without one are.
type cell struct {
	at   int
	unit string
}

// A list is one that is being read.
type list struct {
	l       *Lesson
	columns map[string]cell
	width   int
}

// Example is the first line of a list with numbers, or with takes.
func (l *Lesson) Example(takes bool) string {
	var out []string
	axes := l.Asked()
	if !takes {
		axes = append(slices.Clone(l.X), l.Y)
	}
	for _, a := range axes {
		out = append(out, a.head())
	}
	if takes {
		out = append(out, takeColumn)
	}
	return strings.Join(out, ",")
}

// head names the column of an axis, with the unit that it is written in.
func (a Axis) head() string {
	if a.written == "" {
		return a.Name
	}
	return a.Name + " (" + a.written + ")"
}

// Read reads a list: a column for each axis, its unit in the head and in each cell a number,
// with a tolerance if there is one; or the columns of what is told, and one of takes. A
// column "string" parts points of several strings, "set aside" says why a point does not
// count. The error is a *lines.Error, an *physics.InputError or that of the reader.
func (l *Lesson) Read(r lines.Reader) ([]Entry, error) {
	first, number, err := r.Next()
	if err == io.EOF {
		return nil, &physics.InputError{What: "list", Why: "is empty", Fix: "begin it with a line like: " + l.Example(false)}
	}
	if err != nil {
		return nil, atLine(number, err)
	}
	t := list{l: l, columns: map[string]cell{}, width: len(first)}
	if err := t.head(first); err != nil {
		return nil, err
	}
	var out []Entry
	for {
		fields, number, err := r.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, atLine(number, err)
		}
		e, err := t.entry(fields)
		if err != nil {
			return nil, &lines.Error{Line: number, Cause: err}
		}
		e.Line = number
		out = append(out, e)
	}
	if len(out) == 0 {
		return nil, &physics.InputError{What: "list", Why: "has no line below its head", Fix: "write a line for each point"}
	}
	return out, nil
}

func atLine(number int, err error) error {
	var odd *physics.InputError
	if errors.As(err, &odd) {
		return &lines.Error{Line: number, Cause: err}
	}
	return err
}

// head reads what the columns are.
func (t *list) head(fields []string) error {
	axes := append(slices.Clone(t.l.X), t.l.Y)
	known := []string{takeColumn, groupColumn, asideColumn, sourceColumn}
	for _, a := range axes {
		known = append(known, a.Name)
	}
	for i, f := range fields {
		name, unit := strings.TrimSpace(f), ""
		if at := strings.LastIndex(name, " ("); at >= 0 && strings.HasSuffix(name, ")") {
			name, unit = strings.TrimSpace(name[:at]), strings.TrimSpace(name[at+2:len(name)-1])
		}
		refuse := func(why, fix string) error { return &physics.InputError{What: "column", Text: f, Why: why, Fix: fix} }
		at := slices.IndexFunc(known, func(k string) bool { return strings.EqualFold(k, name) })
		if at < 0 {
			if near := spelling.Nearest(name, known); near != "" {
				return refuse("is not known", fmt.Sprintf("did you mean %q?", near))
			}
			return refuse("is not known", "known are "+strings.Join(known, ", "))
		}
		name = known[at]
		if _, twice := t.columns[name]; twice {
			return refuse("is there twice", "drop one of the two")
		}
		if k := slices.IndexFunc(axes, func(a Axis) bool { return a.Name == name }); k >= 0 {
			if err := axes[k].unitFits(unit); err != nil {
				return refuse("has "+err.Error(), fmt.Sprintf("write it like %q", axes[k].head()))
			}
		} else if unit != "" {
			return refuse("has a unit and needs none", fmt.Sprintf("write it like %q", name))
		}
		t.columns[name] = cell{i, unit}
	}
	_, takes := t.columns[takeColumn]
	_, heard := t.columns[t.l.Y.Name]
	lacks := func(why, fix string) error { return &physics.InputError{What: "list", Why: why, Fix: fix} }
	switch {
	case takes && heard:
		return lacks("has takes and what is heard of them", "leave one of the two columns out")
	case !takes && !heard:
		return lacks(fmt.Sprintf("has neither a column of takes nor one of the %s", t.l.Y.Name), "begin it with a line like: "+t.l.Example(true)+" or: "+t.l.Example(false))
	}
	for _, a := range t.l.X {
		if _, there := t.columns[a.Name]; !there && !a.Optional && !(takes && a.Heard) {
			return lacks("has no column of the "+a.Name, "begin it with a line like: "+t.l.Example(takes))
		}
	}
	return nil
}

// unitFits says why numbers cannot be in that unit.
func (a Axis) unitFits(unit string) error {
	switch {
	case a.written == "" && unit != "":
		return errors.New("a unit and needs none")
	case a.written != "" && unit == "":
		return errors.New("no unit")
	}
	_, err := a.parse("1" + unit)
	var input *physics.InputError
	if errors.As(err, &input) && !strings.Contains(input.Why, "implausible") && !strings.Contains(input.Why, "too little") {
		return fmt.Errorf("the unknown unit %q", unit)
	}
	return nil
}

// entry reads a line.
func (t *list) entry(fields []string) (e Entry, err error) {
	if len(fields) > t.width {
		return e, &physics.InputError{What: "line", Why: fmt.Sprintf("has %d fields, and the first %d", len(fields), t.width), Fix: "put quotes about a field with a comma"}
	}
	text := func(name string) string {
		if c, ok := t.columns[name]; ok && c.at < len(fields) {
			return strings.TrimSpace(fields[c.at])
		}
		return ""
	}
	value := func(a Axis) (Value, error) {
		s := text(a.Name)
		if s == "" {
			return Value{}, &physics.InputError{What: a.Name, Why: "is missing", Fix: "write it like " + a.Example}
		}
		return a.Parse(inUnit(s, t.columns[a.Name].unit))
	}
	e.Take = text(takeColumn)
	_, takes := t.columns[takeColumn]
	if takes && e.Take == "" {
		return e, &physics.InputError{What: "line", Why: "names no take", Fix: "write the file's name"}
	}
	for _, a := range t.l.X {
		if takes && a.Heard || a.Optional && text(a.Name) == "" {
			continue
		}
		v, err := value(a)
		if err != nil {
			return e, err
		}
		e.Point.X = append(e.Point.X, v)
	}
	e.Point.Group, e.Point.Aside, e.Point.From = text(groupColumn), text(asideColumn), text(sourceColumn)
	if takes {
		return e, nil
	}
	e.Point.Y, err = value(t.l.Y)
	return e, err
}

// inUnit is a cell with its unit behind each of its numbers that has none.
func inUnit(s, unit string) string {
	bare := func(s string) string {
		if _, err := strconv.ParseFloat(strings.TrimSpace(s), 64); err == nil {
			return strings.TrimSpace(s) + unit
		}
		return s
	}
	head, tail, stated := physics.CutTolerance(s)
	if !stated {
		return bare(s)
	}
	return bare(head) + "±" + bare(tail)
}

// WriteList writes points so that Read reads them back, to the last digit or two.
func (l *Lesson) WriteList(to io.Writer, points []Point) error {
	w := csv.NewWriter(to)
	axes := append(slices.Clone(l.X), l.Y)
	var head []string
	for _, a := range axes {
		head = append(head, a.head())
	}
	if err := w.Write(append(head, groupColumn, sourceColumn, asideColumn)); err != nil {
		return err
	}
	for _, p := range points {
		var line []string
		for i, a := range axes {
			switch {
			case i == len(axes)-1:
				line = append(line, a.exact(p.Y))
			case i < len(p.X):
				line = append(line, a.exact(p.X[i]))
			default:
				line = append(line, "")
			}
		}
		if err := w.Write(append(line, p.Group, p.From, p.Aside)); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// exact is a value with all its digits in the unit it is written in, and its tolerance.
func (a Axis) exact(v Value) string {
	s := strconv.FormatFloat(v.V/a.size, 'g', -1, 64)
	if v.U > 0 && !v.Assumed {
		s += "±" + strconv.FormatFloat(v.U/a.size, 'g', -1, 64)
	}
	return s
}
