package diary

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"pluckweigh/lines"
	"pluckweigh/physics"
	"pluckweigh/physics/spelling"
)

// The columns of a list: one of moments, and whatever was noted then. The unit of a
// column stands in its head.
const (
	timeColumn        = "time"
	takeColumn        = "take"
	pitchColumn       = "pitch"
	uColumn           = "u"
	temperatureColumn = "temperature"
)

// units are those that a column may have, the usual one first.
var units = map[string][]string{
	timeColumn: nil, takeColumn: nil,
	pitchColumn: {"Hz"}, uColumn: {"cents", "Hz"}, temperatureColumn: {"°C", "°F", "K"},
}

// order is that in which the columns are named.
var order = []string{timeColumn, takeColumn, pitchColumn, uColumn, temperatureColumn}

// An Entry is one line of a list.
type Entry struct {
	Line  int
	When  When
	Take  string  // empty for none
	Hz, U float64 // of the pitch; zero for none. U is in hertz too
	Warm  *Celsius
}

// A List is a list as it was read.
type List struct {
	Entries        []Entry
	Takes, Pitches bool // it names takes; it has pitches
	Temperatures   bool
	width          int
	columns        map[string]column
	zone           *time.Location
}

type column struct {
	at   int
	unit string
}

// example is the first line of a list.
const example = `begin it with a line like: time,pitch (Hz),u (cents),temperature (°C); or: time,take`

// Read reads a list, of which a line stands for one moment and those later stand below.
// Dates without a zone are of the one given. The error is a *lines.Error, an
// *physics.InputError or that of the reader.
func Read(r lines.Reader, zone *time.Location) (List, error) {
	l := List{columns: map[string]column{}, zone: zone}
	first, line, err := r.Next()
	if err == io.EOF {
		return l, &physics.InputError{What: "list", Why: "is empty", Fix: example}
	}
	if err != nil {
		return l, unreadable(line, err)
	}
	if err := l.head(first); err != nil {
		return l, err
	}
	for {
		fields, line, err := r.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return l, unreadable(line, err)
		}
		e, err := l.entry(fields)
		if err == nil {
			e.Line = line
			err = l.follows(e)
		}
		if err != nil {
			return l, &lines.Error{Line: line, Cause: err}
		}
		l.Entries = append(l.Entries, e)
	}
	if len(l.Entries) == 0 {
		return l, &physics.InputError{What: "list", Why: "has no line below its head", Fix: "write a line for each reading"}
	}
	return l, nil
}

func unreadable(line int, err error) error {
	var odd *physics.InputError
	if errors.As(err, &odd) {
		return &lines.Error{Line: line, Cause: err}
	}
	return err
}

func (l *List) head(fields []string) error {
	l.width = len(fields)
	for i, f := range fields {
		name, unit, has := strings.Cut(strings.TrimSpace(f), "(")
		name, unit = strings.ToLower(strings.TrimSpace(name)), strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(unit), ")"))
		may, known := units[name]
		refuse := func(why, fix string) error { return &physics.InputError{What: "column", Text: f, Why: why, Fix: fix} }
		if !known {
			if near := spelling.Nearest(name, order); near != "" {
				return refuse("is not known", fmt.Sprintf("did you mean %q?", near))
			}
			return refuse("is not known", "known are "+strings.Join(order, ", "))
		}
		if len(may) > 0 && !slices.Contains(may, unit) {
			return refuse("has no unit that is known", fmt.Sprintf("write it like %q", name+" ("+may[0]+")"))
		}
		if len(may) == 0 && has {
			return refuse("has a unit and needs none", fmt.Sprintf("write it like %q", name))
		}
		if _, twice := l.columns[name]; twice {
			return refuse("is there twice", "drop one of the two")
		}
		l.columns[name] = column{i, unit}
	}
	_, timed := l.columns[timeColumn]
	_, l.Takes = l.columns[takeColumn]
	_, l.Pitches = l.columns[pitchColumn]
	_, u := l.columns[uColumn]
	_, l.Temperatures = l.columns[temperatureColumn]
	lacks := func(why, fix string) error { return &physics.InputError{What: "list", Why: why, Fix: fix} }
	switch {
	case !timed:
		return lacks("has no column of times", example)
	case l.Takes && l.Pitches:
		return lacks("has takes and pitches", "leave one of the two columns out")
	case l.Pitches && !u:
		return lacks("has pitches without their uncertainty", "add a column like u (cents): the standard uncertainty, k = 1, of each")
	case u && !l.Pitches:
		return lacks("has uncertainties without pitches", "add a column like pitch (Hz)")
	case !l.Takes && !l.Pitches && !l.Temperatures:
		return lacks("has times and nothing else", example)
	}
	return nil
}

func (l *List) entry(fields []string) (e Entry, err error) {
	if len(fields) > l.width {
		return e, &physics.InputError{What: "line", Why: fmt.Sprintf("has %d fields, and the first %d", len(fields), l.width), Fix: "put quotes about a field with a comma"}
	}
	cell := func(name string) (string, string) {
		c, ok := l.columns[name]
		if !ok || c.at >= len(fields) {
			return "", c.unit
		}
		return strings.TrimSpace(fields[c.at]), c.unit
	}
	at, _ := cell(timeColumn)
	if e.When, err = ParseWhen(at, l.zone); err != nil {
		return e, err
	}
	if l.Takes {
		if e.Take, _ = cell(takeColumn); e.Take == "" {
			return e, &physics.InputError{What: "line", Why: "names no take", Fix: "write the file's name"}
		}
	}
	if l.Pitches {
		text, _ := cell(pitchColumn)
		if e.Hz, err = positive(pitchColumn, text); err != nil {
			return e, err
		}
		text, unit := cell(uColumn)
		if e.U, err = positive("standard uncertainty", text); err != nil {
			return e, err
		}
		if unit == "cents" {
			e.U *= e.Hz * math.Ln2 / 1200
		}
	}
	if l.Temperatures {
		text, unit := cell(temperatureColumn)
		c, err := parseTemperature(text, text, unit)
		if err != nil {
			return e, err
		}
		e.Warm = &c
	}
	return e, nil
}

func positive(what, text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return 0, &physics.InputError{What: what, Text: text, Why: "is no number above zero", Fix: "write it like 82.41, without a unit: that stands in the head"}
	}
	return v, nil
}

// follows refuses a line that is out of the order of time, or repeats the one above: a
// wrong date hides there.
func (l *List) follows(e Entry) error {
	if len(l.Entries) == 0 {
		return nil
	}
	last := l.Entries[len(l.Entries)-1]
	refuse := func(why, fix string) error { return &physics.InputError{What: "time", Why: why, Fix: fix} }
	if e.When.Dated() != last.When.Dated() {
		return refuse("has a date, or has none where others have one", "write all times with their dates, or all since the beginning")
	}
	switch since := e.When.Since(last.When); {
	case since < 0:
		return refuse(fmt.Sprintf("is before that of line %d", last.Line), "put the lines in the order of time, or correct the date")
	case since == 0 && (e.Take == last.Take && e.Hz == last.Hz):
		return refuse(fmt.Sprintf("and all else repeat line %d", last.Line), "drop one of the two lines")
	}
	return nil
}
