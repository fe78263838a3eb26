package stock

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"pluckweigh/physics"
	"pluckweigh/physics/spelling"
)

// A form is what columns a list may have, in the order in which they are written. The
// first one must be there.
type form struct {
	fields  []field
	example string // of a first line
}

// A field is a column of a form.
type field struct {
	name string
	unit string // that it is written in; empty for what is no quantity
	// read makes a number and its unit SI, write makes SI a number in unit that is read back
	// to the same.
	read  func(string) (float64, error)
	write func(float64) string
}

// text is a field that is no quantity.
func text(name string) field { return field{name: name} }

// measure is a field of a quantity, written in a unit of that symbol that is a power of ten
// of the SI's: with its digits shifted, each number is read back to the same.
func measure[Q physics.Quantity](name string, unit Q, symbol string) field {
	tens := int(math.Round(math.Log10(float64(unit))))
	return field{name, symbol, func(s string) (float64, error) {
		q, err := physics.Parse[Q](s)
		var input *physics.InputError
		if errors.As(err, &input) {
			input.What = name
		}
		if number, ok := strings.CutSuffix(s, symbol); ok && err == nil {
			if v, err := shifted(number, tens); err == nil {
				return v, nil
			}
		}
		return float64(q), err
	}, func(v float64) string {
		digits := shift(strconv.FormatFloat(v, 'e', -1, 64), -tens)
		if n, err := strconv.ParseFloat(digits, 64); err == nil {
			easy := strconv.FormatFloat(n, 'f', -1, 64)
			if back, err := shifted(easy, tens); err == nil && back == v && len(easy) <= longestEasy {
				return easy
			}
		}
		return digits
	}}
}

// longestEasy is the longest number that is better read without an exponent.
const longestEasy = 22

// shift multiplies a written number by a power of ten.
func shift(number string, tens int) string {
	digits, exponent, _ := strings.Cut(strings.ToLower(number), "e")
	n, _ := strconv.Atoi(strings.TrimPrefix(exponent, "+"))
	return digits + "e" + strconv.Itoa(n+tens)
}

// shifted is that number.
func shifted(number string, tens int) (float64, error) {
	return strconv.ParseFloat(shift(number, tens), 64)
}

// head is what is written above a column.
func (f field) head() string {
	if f.unit == "" {
		return f.name
	}
	return f.name + " (" + f.unit + ")"
}

// forms are the kinds of lists.
var forms = []*form{&stringForm, &instrumentForm}

// A head is the first line of a list: what its columns are.
type head struct {
	*form
	columns map[string]column
}

// A column is where in a line something stands, and in what unit.
type column struct {
	at   int
	unit string
	read func(string) (float64, error)
}

// parseHead reads it. The error is an *physics.InputError.
func parseHead(line []string) (head, error) {
	var names, units []string
	for _, f := range line {
		name, unit, has := strings.Cut(strings.TrimSpace(f), "(")
		names = append(names, strings.ToLower(strings.TrimSpace(name)))
		if has {
			unit = "(" + strings.TrimSpace(strings.TrimSuffix(unit, ")"))
		}
		units = append(units, unit)
	}
	h := head{columns: map[string]column{}}
	for _, f := range forms {
		if h.form == nil && slices.Contains(names, f.fields[0].name) {
			h.form = f
		}
	}
	if h.form == nil {
		return head{}, &physics.InputError{What: "list", Why: "has no column of names", Fix: "begin it with a line like: " + stringForm.example + ", or for instruments: " + instrumentForm.example}
	}
	for i, name := range names {
		c, err := h.column(name, units[i], line[i])
		if err != nil {
			return head{}, err
		}
		c.at = i
		if _, twice := h.columns[name]; twice {
			return head{}, &physics.InputError{What: "column", Text: line[i], Why: "is there twice", Fix: "drop one of the two"}
		}
		h.columns[name] = c
	}
	return h, nil
}

// column is one of a name, with its unit behind a ( if it has one.
func (h head) column(name, unit, said string) (column, error) {
	at := slices.IndexFunc(h.fields, func(f field) bool { return f.name == name })
	if at < 0 {
		var known []string
		for _, f := range h.fields {
			known = append(known, f.name)
		}
		e := &physics.InputError{What: "column", Text: said, Why: "is not known", Fix: "known are " + strings.Join(known, ", ")}
		if near := spelling.Nearest(name, known); near != "" {
			e.Fix = fmt.Sprintf("did you mean %q?", near)
		}
		return column{}, e
	}
	f := h.fields[at]
	unit, has := strings.CutPrefix(unit, "(")
	refuse := func(why string) (column, error) {
		return column{}, &physics.InputError{What: "column", Text: said, Why: why, Fix: fmt.Sprintf("write it like %q", f.head())}
	}
	switch {
	case f.unit == "" && has:
		return refuse("has a unit and needs none")
	case f.unit != "" && !has:
		return refuse("has no unit")
	case f.unit != "":
		if _, err := f.read("1" + unit); err != nil {
			return refuse("has the unknown unit " + strconv.Quote(unit))
		}
	}
	return column{unit: unit, read: f.read}, nil
}

// A cells is a line of a list.
type cells struct {
	head
	line []string
}

// take takes the fields of a line. The error is an *physics.InputError.
func (h head) take(line []string) (cells, error) {
	if len(line) > len(h.columns) {
		return cells{}, &physics.InputError{What: "line", Why: fmt.Sprintf("has %d fields, and the first %d", len(line), len(h.columns)), Fix: "put quotes about a field with a comma"}
	}
	return cells{h, line}, nil
}

// text is what stands in a column.
func (c cells) text(name string) string {
	if at, ok := c.columns[name]; ok && at.at < len(c.line) {
		return c.line[at.at]
	}
	return ""
}

// number is what stands in the column of a quantity, in SI; it may have a unit of its
// own.
func (c cells) number(name string) (float64, error) {
	s, at := c.text(name), c.columns[name]
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		s += at.unit
	}
	if at.read == nil {
		return 0, &physics.InputError{What: "list", Why: fmt.Sprintf("has no column of %s", name), Fix: "add one"}
	}
	return at.read(s)
}

// flag is whether "yes" stands in a column.
func (c cells) flag(name string) (bool, error) {
	switch s := c.text(name); s {
	case "":
		return false, nil
	case "yes":
		return true, nil
	default:
		return false, &physics.InputError{What: name, Text: s, Why: "is neither yes nor nothing", Fix: "write yes, or leave it empty"}
	}
}

// A listWriter writes a list.
type listWriter struct {
	*form
	w *csv.Writer
}

// newListWriter writes the head of a list.
func newListWriter(to io.Writer, f *form) (*listWriter, error) {
	l := &listWriter{f, csv.NewWriter(to)}
	var line []string
	for _, f := range f.fields {
		line = append(line, f.head())
	}
	return l, l.w.Write(line)
}

// write writes a line of texts, and of quantities in SI.
func (l *listWriter) write(texts map[string]string, numbers map[string]float64) error {
	var line []string
	for _, f := range l.fields {
		s := texts[f.name]
		if v, ok := numbers[f.name]; ok {
			s = f.write(v)
		}
		line = append(line, s)
	}
	return l.w.Write(line)
}

// close writes what is left.
func (l *listWriter) close() error {
	l.w.Flush()
	return l.w.Error()
}
