package stock

import (
	"context"
	"io"
	"maps"
	"strconv"
	"time"

	"pluckweigh/physics"
	"pluckweigh/stock/traits"
)

// The columns of a list of strings. A line has a string and, if any, what was measured of
// it; a string with several measurements has as many lines. The unit of a column stands
// in its head.
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

var stringForm = form{[]field{
	text(nameColumn), text(kindColumn), text(materialColumn), text(labelColumn), text(leftColumn),
	measure(string(UnitWeight), physics.GramPerMetre, "g/m"), measure(uncertain(UnitWeight), physics.GramPerMetre, "g/m"),
	measure(string(Outside), physics.Millimetre, "mm"), measure(uncertain(Outside), physics.Millimetre, "mm"),
	measure(string(Stiffness), physics.NewtonSquareMetre, "N*m2"), measure(uncertain(Stiffness), physics.NewtonSquareMetre, "N*m2"),
	text(routeColumn), text(madeColumn), text(dofColumn), text(assumedColumn), text(asideColumn), text(readingColumn),
}, "name,kind,unit weight (g/m)"}

// parseString reads a string and what was measured of it. The error is an
// *physics.InputError.
func (h head) parseString(line []string) (x String, err error) {
	c, err := h.take(line)
	if err != nil {
		return String{}, err
	}
	x = String{String: traits.String{Name: c.text(nameColumn), Left: traits.Uncounted}, Material: c.text(materialColumn), Label: c.text(labelColumn)}
	if x.Kind, err = traits.ParseKind(c.text(kindColumn)); err != nil {
		return String{}, err
	}
	if s := c.text(leftColumn); s != "" {
		if x.Left, err = strconv.Atoi(s); err != nil || x.Left < 0 {
			return String{}, &physics.InputError{What: "number left", Text: s, Why: "is not a whole number from zero", Fix: "write how many there are, like 3"}
		}
	}
	like, err := c.measurement()
	if err != nil {
		return String{}, err
	}
	for _, p := range Properties() {
		m := like
		m.Property = p
		if c.text(string(p)) == "" && c.text(uncertain(p)) == "" {
			continue
		}
		if m.Value, err = c.number(string(p)); err != nil {
			return String{}, err
		}
		if c.text(uncertain(p)) == "" {
			m.U, m.Assumed = assumed(p, m.Value), true
		} else if m.U, err = c.number(uncertain(p)); err != nil {
			return String{}, err
		}
		x.Measurements = append(x.Measurements, m)
	}
	return x, x.Check()
}

// measurement is what is said of all measurements in a line.
func (c cells) measurement() (m Measurement, err error) {
	m = Measurement{Route: c.text(routeColumn), Reading: c.text(readingColumn), SetAside: c.text(asideColumn)}
	if m.Route == "" {
		m.Route = Stated
	}
	made := c.text(madeColumn)
	if m.Made, err = undated(made); err != nil {
		m.Made, err = time.Parse(time.DateOnly, made) // a day, from its beginning
	}
	if err != nil {
		return m, &physics.InputError{What: "time", Text: made, Why: "is not known", Fix: "write it like 2026-03-04, or 2026-03-04T05:06:07Z"}
	}
	if s := c.text(dofColumn); s != "" {
		if m.DoF, err = strconv.ParseFloat(s, 64); err != nil {
			return m, &physics.InputError{What: dofColumn, Text: s, Why: "is not a number", Fix: "write them like 4.5, or nothing for unlimited"}
		}
	}
	m.Assumed, err = c.flag(assumedColumn)
	return m, err
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

// Export writes all strings and what was measured of them as CSV (RFC 4180, lines
// ended by \n) that Import reads back to the same.
func (s *Store) Export(ctx context.Context, to io.Writer) error {
	l, err := newListWriter(to, &stringForm)
	if err != nil {
		return err
	}
	for x, err := range s.All(ctx) {
		if err == nil {
			err = l.writeString(x)
		}
		if err != nil {
			return err
		}
	}
	return l.close()
}

// writeString writes a string, a line for each of its measurements, or one without.
func (l *listWriter) writeString(x String) error {
	facts := map[string]string{
		nameColumn: x.Name, kindColumn: x.Kind.String(), materialColumn: x.Material, labelColumn: x.Label,
	}
	if x.Left != traits.Uncounted {
		facts[leftColumn] = strconv.Itoa(x.Left)
	}
	if len(x.Measurements) == 0 {
		return l.write(facts, nil)
	}
	for _, m := range x.Measurements {
		texts := maps.Clone(facts)
		texts[routeColumn], texts[madeColumn], texts[asideColumn], texts[readingColumn] = m.Route, dated(m.Made), m.SetAside, m.Reading
		if m.DoF > 0 {
			texts[dofColumn] = strconv.FormatFloat(m.DoF, 'g', -1, 64)
		}
		if m.Assumed {
			texts[assumedColumn] = "yes"
		}
		if err := l.write(texts, map[string]float64{string(m.Property): m.Value, uncertain(m.Property): m.U}); err != nil {
			return err
		}
	}
	return nil
}
