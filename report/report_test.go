package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"
)

// example has all that a report can have, text that means something to a browser among it.
func example() *Document {
	return &Document{Title: `A "<script>alert(1)</script>" & more`, Program: "test", Made: time.Date(2026, 11, 28, 9, 0, 0, 0, time.UTC),
		Cautions: []string{"caution: <b>it can snap</b>"},
		Sections: []Section{{Title: "Found <i>", Paragraphs: []string{"p & q"}, Items: []string{"<li>"},
			Tables: []Table{{Caption: "pulls", Columns: []string{"position", "pull (k = 2)", "remark"}, Rows: [][]Cell{
				{Said("1 <E>"), Of("163.0 ± 0.9 N", 163.04321987654321, 0.45123456789, 2, "N"), Said(`"quoted", and <more>`)},
				{Exactly("2", 2, ""), Of("0 ± 0 N", 0, 0, 2, "N"), Of("not a number", math.NaN(), 1, 2, "N")},
				{Said("3"), Of("1e-300", 1e-300, math.Inf(1), 2, "m"), Exactly("-5", -5, "cents")},
			}}},
			Pictures: []Picture{{Name: `picture <"1">`, Say: "says & shows", SVG: []byte(`<?xml version="1.0"?><!-- c --><svg width="9pt" height="9pt" viewBox="0 0 9 9" xmlns="http://www.w3.org/2000/svg"><g><text x="1" style="fill:#000">a &lt;b&gt;</text></g></svg>`)}},
		}}}
}

func pageOf(t *testing.T, d *Document) string {
	t.Helper()
	var out bytes.Buffer
	if err := d.WriteHTML(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestAllHaveTheSameNumbers(t *testing.T) {
	d := example()
	var asJSON, asCSV bytes.Buffer
	if err := d.WriteJSON(&asJSON); err != nil {
		t.Fatal(err)
	}
	if err := d.WriteCSV(&asCSV); err != nil {
		t.Fatal(err)
	}
	var back Document
	if err := json.Unmarshal(asJSON.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(&asCSV).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	lines = lines[1:]
	inPage := cells(t, pageOf(t, d))
	n := 0
	for _, s := range back.Sections {
		for _, table := range s.Tables {
			for _, row := range table.Rows {
				for _, c := range row {
					if n >= len(lines) || n >= len(inPage) {
						t.Fatalf("the list has %d cells and the page %d", len(lines), len(inPage))
					}
					want := [5]string{c.Text}
					if c.Number != nil {
						want = [5]string{c.Text, digits(c.Number.Value), uDigits(c.Number.U), digits(c.Number.K), c.Number.Unit}
					}
					if got := [5]string(lines[n][5:10]); got != want {
						t.Errorf("list: %q, JSON: %q", got, want)
					}
					if inPage[n] != want {
						t.Errorf("page: %q, JSON: %q", inPage[n], want)
					}
					n++
				}
			}
		}
	}
	if n != len(lines) || n != len(inPage) || n != 9 {
		t.Errorf("JSON has %d cells, the list %d, the page %d; want 9", n, len(lines), len(inPage))
	}
}

func TestPageLoadsNothing(t *testing.T) {
	text := pageOf(t, example())
	for _, bad := range []string{"http:", "https:", "//", "url(", "<script", "<link", "<img", "@import", "<b>", "<i>", "src="} {
		if strings.Contains(strings.ReplaceAll(text, "default-src 'none'", ""), bad) {
			t.Errorf("the page has %q", bad)
		}
	}
	for _, want := range []string{`<html lang="en">`, "<title>", "<h1>", "<h2 id=", "<caption>", `scope="col"`, `scope="row"`, `role="img"`, `aria-labelledby="picture-1-1-name picture-1-1-say"`,
		`<title id="picture-1-1-name">picture &lt;&#34;1&#34;&gt;</title>`, `<desc id="picture-1-1-say">says &amp; shows</desc>`, "a &lt;b&gt;"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page has no %s", want)
		}
	}
}

func TestBadPictures(t *testing.T) {
	for _, svg := range []string{
		`<svg><script>alert(1)</script></svg>`,
		`<svg><image href="x.png"/></svg>`,
		`<svg onload="x()"></svg>`,
		`<svg><g style="fill:url(http://x)"/></svg>`,
		`<svg><g xlink:href="x"/></svg>`,
		`<svg><g`,
		`<svg><g>`,
		``,
	} {
		d := &Document{Sections: []Section{{Pictures: []Picture{{SVG: []byte(svg)}}}}}
		if err := d.WriteHTML(&bytes.Buffer{}); err == nil {
			t.Errorf("%s was taken", svg)
		}
	}
	d := &Document{Sections: []Section{{Tables: []Table{{Columns: []string{"a", "b"}, Rows: [][]Cell{{Said("1")}}}}}}}
	if err := d.WriteHTML(&bytes.Buffer{}); err == nil {
		t.Error("a row of one cell for two columns was taken")
	}
}
