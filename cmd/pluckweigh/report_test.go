package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pluckweigh/physics"
	paper "pluckweigh/report"
	"pluckweigh/stock"
	"pluckweigh/survey"
)

// reportStock makes a stock of invented strings, an instrument of so many positions, and
// a session of so many readings.
func reportStock(t testing.TB, positions, readings int) (file string) {
	t.Helper()
	dir := t.TempDir()
	t.Setenv("XDG_DATA_HOME", dir)
	file = filepath.Join(dir, "stock.db")
	calls := [][]string{}
	instrument, names := []string{"stock", "add", "tenor", "--total", "2000N"}, []string{"stock", "string", "tenor"}
	for i := range positions {
		name := fmt.Sprintf("string %d", i+1)
		weight := fmt.Sprintf("%.3fg/m±0.5%%", 18.4/(1+float64(i)/2))
		calls = append(calls, []string{"stock", "add", name, "--wound", "--unit-weight", weight},
			[]string{"stock", "edit", name, "--unit-weight", weight, "--route", "balance"})
		instrument = append(instrument, "--position", fmt.Sprintf("863.6mm±0.5mm:%.3fHz", 55*(1+float64(i)/4)))
		names = append(names, name)
	}
	list := strings.Builder{}
	list.WriteString("time,pitch (Hz),u (cents)\n")
	for i := range readings {
		fmt.Fprintf(&list, "%s,%.5f,0.05\n", time.Date(2026, 11, 28, 0, 0, i, 0, time.UTC).Format(time.RFC3339), 82.4-0.02*float64(i)/float64(readings)+0.001*float64(i%7))
	}
	day := filepath.Join(dir, "day.csv")
	if err := os.WriteFile(day, []byte(list.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	calls = append(calls, instrument, names, []string{"settle", "--session", "watched", "--readings", day})
	for _, c := range calls {
		reportRun(t, append(c, "--stock", file)...)
	}
	surveyHeard(t, file, positions)
	return file
}

// surveyHeard keeps a pluck of each string, 10 cents flat, as of a survey.
func surveyHeard(t testing.TB, file string, positions int) {
	t.Helper()
	st, err := stock.Open(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	for i := range positions {
		hz := physics.Frequency(55 * (1 + float64(i)/4) * 0.99424)
		heard := survey.Heard{F0: physics.Stated(hz, 1e-4*hz), F1: physics.Stated(hz, 1e-4*hz),
			B: physics.Stated(physics.Inharmonicity(1e-5), physics.Inharmonicity(1e-6)), Named: survey.Nowhere}
		p := stock.Pluck{At: time.Now(), Start: float64(i), Heard: heard, Clock: physics.Relative{U: 1e-4, Assumed: true}}
		if err := st.KeepPlucks(t.Context(), "as found", "tenor", p); err != nil {
			t.Fatal(err)
		}
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
}

func reportRun(t testing.TB, args ...string) (stdout string) {
	t.Helper()
	var out, errs bytes.Buffer
	if err := run(context.Background(), args, strings.NewReader(""), &out, &errs); err != nil {
		t.Fatalf("%v: %v\n%s", args, err, &errs)
	}
	return out.String()
}

var numberInPage = regexp.MustCompile(` data-value="([^"]*)"(?: data-u="([^"]*)")? data-k="([^"]*)" data-unit="([^"]*)">`)

// reportKinds are the reports of the stock that reportStock makes.
var reportKinds = [][]string{{"instrument", "tenor"}, {"string", "string 2"}, {"settle", "watched"}}

// reportBoth makes a report as a page, and lists the numbers that JSON has in it.
func reportBoth(t *testing.T, stock string, of []string) (page string, want []string) {
	t.Helper()
	page = filepath.Join(t.TempDir(), "page.html")
	out := reportRun(t, append([]string{"report", "--stock", stock, "--json", "--html", page}, of...)...)
	var d paper.Document
	if err := json.Unmarshal([]byte(out), &d); err != nil {
		t.Fatal(err)
	}
	if of[0] == "instrument" && !slices.ContainsFunc(d.Sections, func(s paper.Section) bool { return s.Title == "As it was heard" }) {
		t.Error("the survey is not told")
	}
	for _, s := range d.Sections {
		for _, table := range s.Tables {
			for _, row := range table.Rows {
				for _, c := range row {
					if n := c.Number; n != nil {
						u := ""
						if n.U != nil {
							u = strconv.FormatFloat(*n.U, 'g', -1, 64)
						}
						want = append(want, fmt.Sprintf("%v %s %v %s", n.Value, u, n.K, n.Unit))
					}
				}
			}
		}
	}
	if len(want) < 10 {
		t.Fatalf("%v: JSON has %d numbers", of, len(want))
	}
	return page, want
}

// hasNumbers compares the numbers of a page with those wanted, digit by digit.
func hasNumbers(t *testing.T, of []string, page []byte, want []string) {
	t.Helper()
	found := numberInPage.FindAllSubmatch(page, -1)
	if len(found) != len(want) {
		t.Fatalf("%v: the page has %d numbers, JSON %d", of, len(found), len(want))
	}
	for i, m := range found {
		if got := string(bytes.Join(m[1:], []byte(" "))); got != want[i] {
			t.Errorf("%v: number %d is %q in the page, %q in JSON", of, i+1, got, want[i])
		}
	}
}

func TestReportPageHasTheNumbersOfJSON(t *testing.T) {
	file := reportStock(t, 6, 60)
	for _, of := range reportKinds {
		page, want := reportBoth(t, file, of)
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		hasNumbers(t, of, text, want)
	}
}

// TestReportInBrowser compares what Chromium makes of a page with JSON.
func TestReportInBrowser(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil && os.Getenv(requireTools) == "1" {
		t.Fatal(err)
	} else if err != nil {
		t.Skip("chromium is not installed")
	}
	file := reportStock(t, 6, 60)
	for _, of := range reportKinds {
		page, want := reportBoth(t, file, of)
		cmd := exec.CommandContext(t.Context(), browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+t.TempDir(), "--dump-dom", "file://"+page)
		dom, err := cmd.Output()
		if err != nil {
			t.Fatalf("%v: %v", of, err)
		}
		hasNumbers(t, of, dom, want)
		if n := bytes.Count(dom, []byte("<svg")); n == 0 || n != bytes.Count(dom, []byte("</desc>")) {
			t.Errorf("%v: %d pictures in the page, %d of them described", of, n, bytes.Count(dom, []byte("</desc>")))
		}
	}
}

// BenchmarkReport measures what a report takes, and says how large its page is.
func BenchmarkReport(b *testing.B) {
	file := reportStock(b, 12, 100_000)
	for _, of := range reportKinds {
		b.Run(of[0], func(b *testing.B) {
			page := filepath.Join(b.TempDir(), "page.html")
			for b.Loop() {
				reportRun(b, append([]string{"report", "--stock", file, "--overwrite", "--html", page}, of...)...)
			}
			info, err := os.Stat(page)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(info.Size())/1000, "kB")
		})
	}
}
