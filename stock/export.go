package stock

import (
	"context"
	"encoding/csv"
	"io"
	"strconv"

	"pluckweigh/stock/traits"
)

// Export writes all strings and what was measured of them as CSV (RFC 4180, lines
// ended by \n) that Import reads back to the same.
func (s *Store) Export(ctx context.Context, to io.Writer) error {
	w := csv.NewWriter(to)
	if err := w.Write(headLine()); err != nil {
		return err
	}
	for x, err := range s.All(ctx) {
		if err != nil {
			return err
		}
		if len(x.Measurements) == 0 {
			if err := w.Write(lineOf(x, nil)); err != nil {
				return err
			}
		}
		for i := range x.Measurements {
			if err := w.Write(lineOf(x, &x.Measurements[i])); err != nil {
				return err
			}
		}
	}
	w.Flush()
	return w.Error()
}

// headLine names the columns, with their units.
func headLine() []string {
	var line []string
	for _, name := range columns() {
		if p, ok := propertyOf(name); ok {
			name += " (" + written[p] + ")"
		}
		line = append(line, name)
	}
	return line
}

// lineOf is a string with one of its measurements, or none.
func lineOf(x String, m *Measurement) []string {
	cells := map[string]string{
		nameColumn: x.Name, kindColumn: x.Kind.String(), materialColumn: x.Material, labelColumn: x.Label,
	}
	if x.Left != traits.Uncounted {
		cells[leftColumn] = strconv.Itoa(x.Left)
	}
	if m != nil {
		cells[string(m.Property)], cells[uncertain(m.Property)] = cellOf(m.Property, m.Value), cellOf(m.Property, m.U)
		cells[routeColumn], cells[madeColumn], cells[asideColumn], cells[readingColumn] = m.Route, dated(m.Made), m.SetAside, m.Reading
		if m.DoF > 0 {
			cells[dofColumn] = strconv.FormatFloat(m.DoF, 'g', -1, 64)
		}
		if m.Assumed {
			cells[assumedColumn] = "yes"
		}
	}
	var line []string
	for _, name := range columns() {
		line = append(line, cells[name])
	}
	return line
}
