package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"time"
)

//go:embed page.html
var pageText string

// tall is from how many rows on a table may be broken over pages, between rows.
const tall = 24

var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"digits":  digits,
	"uDigits": uDigits,
	"moment":  func(t time.Time) string { return t.Format("2 January 2006, 15:04 MST") },
	"short":   func(t Table) bool { return len(t.Rows) < tall },
	"inline":  inline,
	"whole":   func(s string) string { return strings.ReplaceAll(s, "k = ", "k\u00a0=\u00a0") }, // on one line
}).Parse(pageText))

// WriteHTML writes the document as one page that loads nothing: text is escaped,
// pictures are drawn within it, and each number stands beside its text in data-value,
// data-u, data-k and data-unit.
func (d *Document) WriteHTML(to io.Writer) error {
	for _, s := range d.Sections {
		for _, t := range s.Tables {
			for n, row := range t.Rows {
				if len(row) != len(t.Columns) {
					return fmt.Errorf("table %q, row %d: %d cells for %d columns", t.Caption, n+1, len(row), len(t.Columns))
				}
			}
		}
	}
	return page.Execute(to, d)
}
