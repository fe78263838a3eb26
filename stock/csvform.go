package stock

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"pluckweigh/physics"
	"pluckweigh/physics/spelling"
	"pluckweigh/stock/traits"
)

// The columns of a list of strings, of which name is the only one that must be there.
// A line has a string and, if any, what was measured of it; a string with several
// measurements has as many lines. The unit of a column stands in its head.
const (
	nameColumn     = "name"
	kindColumn     = "kind"
	materialColumn = "material"
	labelColumn    = "label"
	leftColumn     = "left"
	routeColumn    = "route"
	madeColumn     = "made"
	dofColumn      = "degrees of freedom"
	assumedColumn  = "assumed"
	asideColumn    = "set aside"
	readingColumn  = "reading"
)

// uncertain names the column of a property's standard uncertainty.
func uncertain(p Property) string { return "u of " + string(p) }

// written are the units that properties are written in.
var written = map[Property]string{UnitWeight: "g/m", Outside: "mm", Stiffness: "N*m2"}

// columns lists all columns as they are written.
func columns() []string {
	all := []string{nameColumn, kindColumn, materialColumn, labelColumn, leftColumn}
	for _, p := range Properties() {
		all = append(all, string(p), uncertain(p))
	}
	return append(all, routeColumn, madeColumn, dofColumn, assumedColumn, asideColumn, readingColumn)
}

// A column is where in a line something stands, and in what unit.
type column struct {
	at   int
	unit string
}

// A head is the first line of a list: what its columns are.
type head map[string]column

// parseHead reads it. The error is an *physics.InputError.
func parseHead(fields []string) (head, error) {
	h := head{}
	known := columns()
	for i, f := range fields {
		name, unit, has := strings.Cut(strings.TrimSpace(f), "(")
		name = strings.ToLower(strings.TrimSpace(name))
		unit = strings.TrimSpace(strings.TrimSuffix(unit, ")"))
		p, measured := propertyOf(name)
		switch {
		case !slices.Contains(known, name):
			e := &physics.InputError{What: "column", Text: f, Why: "is not known", Fix: "known are " + strings.Join(known, ", ")}
			if near := spelling.Nearest(name, known); near != "" {
				e.Fix = fmt.Sprintf("did you mean %q?", near)
			}
			return nil, e
		case measured && !has:
			return nil, &physics.InputError{What: "column", Text: f, Why: "has no unit", Fix: fmt.Sprintf("write it like %q", name+" ("+written[p]+")")}
		case measured:
			if _, err := parseCell(p, "1", unit); err != nil {
				return nil, &physics.InputError{What: "column", Text: f, Why: "has the unknown unit " + strconv.Quote(unit), Fix: fmt.Sprintf("write it like %q", name+" ("+written[p]+")")}
			}
		case has:
			return nil, &physics.InputError{What: "column", Text: f, Why: "has a unit and needs none", Fix: fmt.Sprintf("write it like %q", name)}
		}
		if _, twice := h[name]; twice {
			return nil, &physics.InputError{What: "column", Text: f, Why: "is there twice", Fix: "drop one of the two"}
		}
		h[name] = column{i, unit}
	}
	if _, ok := h[nameColumn]; !ok {
		return nil, &physics.InputError{What: "list", Why: "has no column of names", Fix: "begin it with a line like: name,kind,unit weight (g/m)"}
	}
	return h, nil
}

// propertyOf is the property that a column is of, or of which it has the uncertainty.
func propertyOf(name string) (Property, bool) {
	for _, p := range Properties() {
		if name == string(p) || name == uncertain(p) {
			return p, true
		}
	}
	return "", false
}

// parseLine reads a string and what was measured of it. The error is an
// *physics.InputError.
func (h head) parseLine(fields []string) (x String, err error) {
	if len(fields) > len(h) {
		return String{}, &physics.InputError{What: "line", Why: fmt.Sprintf("has %d fields, and the first %d", len(fields), len(h)), Fix: "put quotes about a field with a comma"}
	}
	cell := func(name string) string {
		if c, ok := h[name]; ok && c.at < len(fields) {
			return fields[c.at]
		}
		return ""
	}
	x = String{String: traits.String{Name: cell(nameColumn), Left: traits.Uncounted}, Material: cell(materialColumn), Label: cell(labelColumn)}
	if x.Kind, err = traits.ParseKind(cell(kindColumn)); err != nil {
		return String{}, err
	}
	if s := cell(leftColumn); s != "" {
		if x.Left, err = strconv.Atoi(s); err != nil || x.Left < 0 {
			return String{}, &physics.InputError{What: "number left", Text: s, Why: "is not a whole number from zero", Fix: "write how many there are, like 3"}
		}
	}
	like := Measurement{Route: cell(routeColumn), Reading: cell(readingColumn), SetAside: cell(asideColumn)}
	if like.Route == "" {
		like.Route = Stated
	}
	if like.Made, err = undated(cell(madeColumn)); err != nil {
		return String{}, &physics.InputError{What: "time", Text: cell(madeColumn), Why: "is not known", Fix: "write it like 2026-03-04T05:06:07Z"}
	}
	like.Made = like.Made.Truncate(time.Second)
	if s := cell(dofColumn); s != "" {
		if like.DoF, err = strconv.ParseFloat(s, 64); err != nil {
			return String{}, &physics.InputError{What: dofColumn, Text: s, Why: "is not a number", Fix: "write them like 4.5, or nothing for unlimited"}
		}
	}
	switch s := cell(assumedColumn); s {
	case "":
	case "yes":
		like.Assumed = true
	default:
		return String{}, &physics.InputError{What: assumedColumn, Text: s, Why: "is neither yes nor nothing", Fix: "write yes where nobody stated the uncertainty"}
	}
	for _, p := range Properties() {
		value, u := cell(string(p)), cell(uncertain(p))
		if value == "" && u == "" {
			continue
		}
		m := like
		m.Property = p
		if m.Value, err = parseCell(p, value, h[string(p)].unit); err != nil {
			return String{}, err
		}
		if u == "" {
			m.U, m.Assumed = assumed(p, m.Value), true
		} else if m.U, err = parseCell(p, u, h[uncertain(p)].unit); err != nil {
			return String{}, err
		}
		x.Measurements = append(x.Measurements, m)
	}
	return x, x.Check()
}

// parseCell reads a number of a column's unit, or one that has its own, in SI.
func parseCell(p Property, s, unit string) (float64, error) {
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		s += unit
	}
	v, err := 0.0, error(nil)
	switch p {
	case UnitWeight:
		v, err = parsed[physics.UnitWeight](s)
	case Outside:
		v, err = parsed[physics.Length](s)
	default:
		v, err = parsed[physics.BendingStiffness](s)
	}
	var input *physics.InputError
	if errors.As(err, &input) {
		input.What = string(p)
	}
	return v, err
}

func parsed[Q physics.Quantity](s string) (float64, error) {
	q, err := physics.Parse[Q](s)
	return float64(q), err
}

// assumed is the standard uncertainty of a value of which nobody stated it, 0 for
// none.
func assumed(p Property, value float64) float64 {
	switch p {
	case UnitWeight:
		return float64(physics.StringWeight.Assume(physics.UnitWeight(value)).U)
	case Outside:
		return float64(physics.Gauge.Assume(physics.Length(value)).U)
	}
	return 0
}

// cellOf writes a number in the column's unit, or with a unit of its own where
// no number of that is read back to the same value.
func cellOf(p Property, v float64) string {
	var s string
	switch p {
	case UnitWeight:
		s = physics.Measured[physics.UnitWeight]{Value: physics.UnitWeight(v), Unit: physics.GramPerMetre}.String()
	case Outside:
		s = physics.Measured[physics.Length]{Value: physics.Length(v), Unit: physics.Millimetre}.String()
	default:
		s = physics.BendingStiffness(v).String()
	}
	number := strings.TrimSuffix(s, written[p])
	if _, err := strconv.ParseFloat(number, 64); err != nil {
		return s
	}
	return number
}
