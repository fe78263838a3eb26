package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"

	"pluckweigh/cmd/pluckbench/internal/trial"
)

// A table is printed as text or as Markdown.
type table struct {
	title string
	head  []string
	rows  [][]string
	notes []string // lines below it
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

func writeText(w io.Writer, tables []table) error {
	var b strings.Builder
	for i, t := range tables {
		if i > 0 {
			b.WriteString("\n")
		}
		fmt.Fprintln(&b, t.title)
		tw := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		for _, row := range append([][]string{t.head}, t.rows...) {
			fmt.Fprintf(tw, "  %s\n", strings.Join(row, "\t"))
		}
		tw.Flush() // into memory, where nothing fails
		for _, n := range t.notes {
			fmt.Fprintf(&b, "  %s\n", n)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func writeMarkdown(w io.Writer, tables []table) error {
	var b strings.Builder
	line := func(cells []string) {
		escaped := strings.ReplaceAll(strings.Join(cells, "\x00"), "|", `\|`)
		fmt.Fprintf(&b, "| %s |\n", strings.ReplaceAll(escaped, "\x00", " | "))
	}
	for _, t := range tables {
		fmt.Fprintf(&b, "\n## %s\n\n", t.title)
		line(t.head)
		fmt.Fprintln(&b, "|"+strings.Repeat(" --- |", len(t.head)))
		for _, row := range t.rows {
			line(row)
		}
		for _, n := range t.notes {
			fmt.Fprintf(&b, "\n%s\n", n)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// fixed prints a number with so many decimals, a dash where it is missing.
func fixed(n trial.Number, decimals int) string {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return "–"
	}
	return strconv.FormatFloat(float64(n), 'f', decimals, 64)
}

// digits prints a number with so many significant digits.
func digits(n trial.Number, count int) string {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return "–"
	}
	f := float64(n)
	if f == 0 {
		return "0"
	}
	return strconv.FormatFloat(f, 'f', max(0, count-1-int(math.Floor(math.Log10(math.Abs(f))))), 64)
}
