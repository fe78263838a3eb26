package main

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/cmd/pluckbench/internal/trial"
)

// tables are those of all trials, the goals first.
func (r results) tables() []table {
	return slices.Concat([]table{r.goals()}, boundTables(r.Bound), hardTables(r.Hard), restTables(r.Rest),
		realTables(r.Real), contestTables(r.Rivals), liveTables(r.Live))
}

// goals sets what was measured beside what is asked for.
func (r results) goals() table {
	t := table{title: "Goals", head: []string{"what", "measured", "goal"}}
	b, h, rest := r.Bound.All, r.Hard.All, r.Rest.All
	t.add(fmt.Sprintf("RMS error of f0 over the bound, %d takes", b.Takes), plusMinus(b.F0, b.UF0), "≤ 1.05")
	t.add(fmt.Sprintf("RMS error of B over the bound, %d takes", b.BRead), plusMinus(b.B, b.UB), "≤ 1.10")
	t.add(fmt.Sprintf("wrong notes in %d hard takes", h.Takes), strconv.Itoa(h.Wrong), "0")
	t.add("hard takes refused, %", digits(100*trial.Number(h.Refused)/trial.Number(h.Takes), 2), "≤ 1")
	t.add(fmt.Sprintf("error at rest with glide and beating, p95 of %d takes, cents", rest.Takes), digits(rest.P95, 3), "≤ 0.3")
	t.add("truth within u and 2u, hard takes, %", fixed(h.WithinU, 1)+" and "+fixed(h.Within2U, 1), "68 ± 4 and 95 ± 2")
	t.add(fmt.Sprintf("wrong notes of %d recorded", r.Real.Notes), strconv.Itoa(len(r.Real.Wrong)), "0")
	t.add("f0 from odd against even partials, recorded notes, cents: median, p95",
		fixed(r.Real.HalvesMedian, 2)+", "+fixed(r.Real.HalvesP95, 2), "≤ 0.3, ≤ 1")
	t.add("B against the law of frets, most, %", fixed(r.Real.FretsMost, 1), "≤ 15")
	for _, s := range r.Rivals.Sets {
		for _, m := range s.Results {
			if m.Listener == ownName && s.Sounds > 0 {
				t.add("full reading on one core, "+s.Set+", × real time", fixed(m.Realtime, 0), "≥ 100")
			}
		}
	}
	for _, l := range r.Live {
		t.add(fmt.Sprintf("live tracker on one core at %g Hz, × real time; allocations a hop", l.Hz),
			fixed(l.Realtime, 0)+"; "+fixed(l.Allocs, 2), "≥ 500; 0")
	}
	return t
}

// document is the run in Markdown.
func (r results) document() ([]byte, error) {
	var b bytes.Buffer
	call := "--stream " + r.Bound.Stream
	if r.Takes > 0 {
		call += fmt.Sprintf(" --takes %d", r.Takes)
	}
	fmt.Fprintf(&b, `# How well it hears

Measured on %s, on %s, with takes from the %s stream, by

    go run ./cmd/pluckbench all %s --out docs

![RMS error of the pitch against the Cramér–Rao bound](accuracy.svg)

![Wrong notes by fundamental](wrong-notes.svg)

The bound is the least error that any unbiased estimator can have on these takes (all
that sounds, from the onset to the end; f0, B and every amplitude, phase and decay
unknown), computed by package detect/bound. u is the standard uncertainty that the
detector states itself.
`, r.Date, r.Machine, r.Bound.Stream, call)
	if err := writeMarkdown(&b, r.tables()); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// accuracyChart draws errors over the signal-to-noise ratio of clean takes.
func accuracyChart(e trial.Efficiency, c trial.Contest) chart.Chart {
	out := chart.Chart{Title: "Error of the pitch in white noise", X: "signal-to-noise ratio (dB)", Y: "RMS error (cents)", LogY: true}
	own, least := chart.Series{Name: ownName + ", f0"}, chart.Series{Name: "bound on f0", Bare: true}
	for _, r := range e.BySNR {
		own.Points = append(own.Points, chart.Point{X: float64(r.SNR), Y: float64(r.F0Cents)})
		least.Points = append(least.Points, chart.Point{X: float64(r.SNR), Y: float64(r.BoundCents)})
	}
	out.Series = append(out.Series, own)
	for _, s := range c.Sets {
		if s.Set != trial.CleanSet {
			continue
		}
		for _, m := range s.Results {
			if m.Listener == ownName {
				continue
			}
			line := chart.Series{Name: m.Listener + ", f1"}
			for _, p := range m.BySNR {
				line.Points = append(line.Points, chart.Point{X: float64(p.SNR), Y: float64(p.RMS)})
			}
			out.Series = append(out.Series, line)
		}
	}
	out.Series = append(out.Series, least)
	return out
}

// wrongChart draws how often each listener mistakes the note in hard takes.
func wrongChart(c trial.Contest) chart.Chart {
	out := chart.Chart{Title: "Wrong notes in hard takes", X: "fundamental", Y: "wrong notes (% of takes)"}
	for _, s := range c.Sets {
		if s.Set != trial.HardSet {
			continue
		}
		for i, m := range s.Results {
			line := chart.Series{Name: m.Listener}
			aside := 0.05 * (float64(i) - float64(len(s.Results)-1)/2) // so that equal points do not hide each other
			for k, b := range m.Bands {
				if i == 0 {
					out.Categories = append(out.Categories, b.Name)
				}
				line.Points = append(line.Points, chart.Point{X: float64(k) + aside, Y: 100 * float64(b.Wrong) / float64(b.Sounds)})
			}
			out.Series = append(out.Series, line)
		}
	}
	return out
}
