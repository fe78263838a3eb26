package report

import (
	"encoding/xml"
	"regexp"
	"strings"
	"testing"
)

var bodies = regexp.MustCompile(`(?s)<tbody>.*?</tbody>`)

// cells reads the cells of all tables of a page: text, value, u, k and unit, empty for
// what one has not. It is a reader of its own, of the tables as XML.
func cells(t *testing.T, page string) [][5]string {
	t.Helper()
	var all [][5]string
	for _, body := range bodies.FindAllString(page, -1) {
		var rows struct {
			Rows []struct {
				Cells []struct {
					Attrs []xml.Attr `xml:",any,attr"`
					Text  string     `xml:",chardata"`
				} `xml:",any"`
			} `xml:"tr"`
		}
		d := xml.NewDecoder(strings.NewReader(body))
		d.Entity = xml.HTMLEntity
		if err := d.Decode(&rows); err != nil {
			t.Fatal(err)
		}
		for _, row := range rows.Rows {
			for _, c := range row.Cells {
				cell := [5]string{c.Text}
				for _, a := range c.Attrs {
					switch a.Name.Local {
					case "data-value":
						cell[1] = a.Value
					case "data-u":
						cell[2] = a.Value
					case "data-k":
						cell[3] = a.Value
					case "data-unit":
						cell[4] = a.Value
					}
				}
				all = append(all, cell)
			}
		}
	}
	return all
}
