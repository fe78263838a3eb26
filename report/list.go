package report

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
)

// columns head the list.
var columns = []string{"section", "table", "row", "name", "column", "text", "value", "u", "k", "unit"}

// WriteCSV writes the cells of all tables (RFC 4180), each on a line of its own: where it
// stands, what it says and, of a number, the value, its standard uncertainty, the k of the
// text, and the unit. Numbers have all their digits.
func (d *Document) WriteCSV(to io.Writer) error {
	w := csv.NewWriter(to)
	w.Write(columns)
	for _, s := range d.Sections {
		for _, t := range s.Tables {
			for n, row := range t.Rows {
				for i, c := range row {
					line := []string{s.Title, t.Caption, strconv.Itoa(n + 1), row[0].Text, t.Columns[i], c.Text, "", "", "", ""}
					if c.Number != nil {
						line = append(line[:6], digits(c.Number.Value), uDigits(c.Number.U), digits(c.Number.K), c.Number.Unit)
					}
					w.Write(line)
				}
			}
		}
	}
	w.Flush()
	return w.Error()
}

// WriteJSON writes the document as one line of JSON, without the drawing of its pictures.
func (d *Document) WriteJSON(to io.Writer) error {
	enc := json.NewEncoder(to)
	enc.SetEscapeHTML(false)
	return enc.Encode(d)
}

// digits is a number with all its digits.
func digits(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// uDigits is an uncertainty with all its digits, empty for none.
func uDigits(u *float64) string {
	if u == nil {
		return ""
	}
	return digits(*u)
}
