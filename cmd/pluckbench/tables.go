package main

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"pluckweigh/cmd/pluckbench/internal/trial"
)

// mostListed is how many exceptions are printed one by one.
const mostListed = 15

func boundTables(e trial.Efficiency) []table {
	t := table{title: fmt.Sprintf("Error over the Cramér–Rao bound (%s stream)", e.Stream),
		head: []string{"takes of", "count", "f0", "B", "f0 by median", "B by median", "beyond 5", "f0 RMS, cents", "bound, cents"}}
	loose := table{title: "The same over looser bounds",
		head: []string{"takes of", "f0, glide unknown", "B, glide unknown", "f0, window measured", "B, window measured"}}
	for _, r := range slices.Concat([]trial.Ratio{e.All}, e.BySNR, e.Bands) {
		if r.Takes == 0 {
			continue
		}
		t.add(r.Name, strconv.Itoa(r.Takes), plusMinus(r.F0, r.UF0), plusMinus(r.B, r.UB),
			fixed(r.F0Typical, 2), fixed(r.BTypical, 2), strconv.Itoa(r.Far),
			digits(r.F0Cents, 3), digits(r.BoundCents, 3))
		loose.add(r.Name, fixed(r.F0Gliding, 3), fixed(r.BGliding, 3), fixed(r.F0Window, 3), fixed(r.BWindow, 3))
	}
	t.notes = []string{fmt.Sprintf("RMS of the error over the bound of each take; %d wrong notes left out, %d takes refused; B known in %d.",
		len(e.Wrong), len(e.Refused), e.All.BRead)}
	return slices.Concat([]table{t, loose}, exceptions(e.Wrong, e.Refused), distances("Beyond 5 bounds", "bounds", e.Far))
}

func plusMinus(v, u trial.Number) string { return fixed(v, 3) + " ± " + fixed(u, 3) }

func hardTables(s trial.Spread) []table {
	return spreadTables(fmt.Sprintf("Hard takes (%s stream)", s.Stream), s)
}

func restTables(s trial.Spread) []table {
	return spreadTables(fmt.Sprintf("At rest behind a glide and beating (%s stream)", s.Stream), s)
}

func spreadTables(title string, s trial.Spread) []table {
	t := table{title: title, head: []string{"takes", "count", "wrong", "refused", "median, cents", "p95", "most",
		"f0 within u, %", "2u", "B within u, %", "2u"}}
	for _, r := range slices.Concat([]trial.Tally{s.All}, s.Bands, s.Marks) {
		if r.Takes == 0 {
			continue
		}
		t.add(r.Name, strconv.Itoa(r.Takes), strconv.Itoa(r.Wrong), strconv.Itoa(r.Refused),
			digits(r.Median, 3), digits(r.P95, 3), digits(r.Max, 3),
			fixed(r.WithinU, 1), fixed(r.Within2U, 1), fixed(r.BWithinU, 1), fixed(r.BWithin2U, 1))
	}
	if len(s.Reasons) > 0 {
		var why []string
		for _, code := range slices.Sorted(maps.Keys(s.Reasons)) {
			why = append(why, fmt.Sprintf("%s %d", code, s.Reasons[code]))
		}
		t.notes = append(t.notes, "Refused for: "+strings.Join(why, ", ")+".")
	}
	return slices.Concat([]table{t}, exceptions(s.Wrong, s.Refused), distances("Beyond 3u", "u", s.Far))
}

// distances lists the farthest takes, the farthest first.
func distances(title, unit string, ds []trial.Distance) []table {
	if len(ds) == 0 {
		return nil
	}
	farthest := func(d trial.Distance) float64 {
		b := math.Abs(float64(d.B))
		if math.IsNaN(b) {
			b = 0
		}
		return max(b, math.Abs(float64(d.F0)))
	}
	sorted := slices.SortedFunc(slices.Values(ds), func(a, b trial.Distance) int { return cmp.Compare(farthest(b), farthest(a)) })
	t := table{title: title, head: []string{"f0, " + unit, "B, " + unit, "take"}}
	for _, d := range sorted[:min(len(sorted), mostListed)] {
		t.add(fixed(d.F0, 1), fixed(d.B, 1), d.Take)
	}
	return []table{t}
}

// exceptions lists what was not read right.
func exceptions(wrong, refused []trial.Exception) []table {
	var out []table
	if len(wrong) > 0 {
		t := table{title: "Wrong notes", head: []string{"off, cents", "take"}}
		for _, e := range wrong[:min(len(wrong), mostListed)] {
			t.add(fixed(e.Cents, 1), e.Take)
		}
		out = append(out, t)
	}
	if len(refused) > 0 {
		t := table{title: "Refused", head: []string{"for", "take"}}
		for _, e := range refused[:min(len(refused), mostListed)] {
			t.add(strings.Join(e.Reasons, " "), e.Take)
		}
		out = append(out, t)
	}
	return out
}

func realTables(r trial.Recorded) []table {
	t := table{title: "Recorded notes", head: []string{"what", "seen"}}
	t.add("notes", strconv.Itoa(r.Notes))
	t.add("wrong notes", strconv.Itoa(len(r.Wrong)))
	t.add("refused", strconv.Itoa(len(r.Refused)))
	t.add("first partial from the key, cents: median, most", fixed(r.KeyMedian, 2)+", "+fixed(r.KeyMax, 1))
	t.add(fmt.Sprintf("f0 from odd against even partials of %d notes, cents: median, p95", r.Halves),
		fixed(r.HalvesMedian, 3)+", "+fixed(r.HalvesP95, 3))
	t.add("B of one open string, plucked in several ways, within %", fixed(r.OpenMost, 1))
	t.add("B at frets from the law, most, %", fixed(r.FretsMost, 1))
	out := []table{t}
	if len(r.Frets) > 0 {
		f := table{title: "Inharmonicity along a string", head: []string{"played", "fret", "B", "over open", "law", "off, %"}}
		for _, x := range r.Frets {
			f.add(x.Family, strconv.Itoa(x.Fret), fmt.Sprintf("%.3g", float64(x.B)), fixed(x.Ratio, 3), fixed(x.Law, 3), fixed(x.Off, 1))
		}
		out = append(out, f)
	}
	if len(r.HalvesFarther) > 0 {
		h := table{title: "Odd and even partials more than 1 cent apart", head: []string{"cents", "note"}}
		for _, e := range r.HalvesFarther {
			h.add(fixed(e.Cents, 2), e.Take)
		}
		out = append(out, h)
	}
	return append(out, exceptions(r.Wrong, r.Refused)...)
}

func contestTables(c trial.Contest) []table {
	var out []table
	for _, s := range c.Sets {
		if s.Sounds == 0 {
			continue
		}
		t := table{title: fmt.Sprintf("%d %s, %.0f s", s.Sounds, s.Set, float64(s.Seconds)),
			head: []string{"detector", "wrong notes", "no answer", "median, cents", "p95, cents", "× real time"}}
		for _, m := range s.Results {
			t.add(m.Listener, strconv.Itoa(m.Wrong), strconv.Itoa(m.Silent), digits(m.Median, 3), digits(m.P95, 3), fixed(m.Realtime, 0))
		}
		if s.Set == trial.RealSet {
			t.notes = []string{"Cents are from the keys that the file gives, set by ear or tool: some cents are the keys' own."}
		}
		out = append(out, t)
	}
	if len(out) > 0 {
		last := &out[len(out)-1]
		last.notes = append(last.notes, "Errors are those of the first partial as it sounds, wrong notes (50 cents off and more) left out; "+
			"time is processor time on one core, reading the file included, starting the program not. Takes are from the "+c.Stream+" stream.")
	}
	return out
}

func liveTables(ls []trial.Live) []table {
	t := table{title: "Live tracker, 48 kHz, 20 ms at a time, one thread", head: []string{"string, Hz", "× real time", "allocations a hop"}}
	for _, l := range ls {
		t.add(fmt.Sprintf("%g", l.Hz), fixed(l.Realtime, 0), fixed(l.Allocs, 2))
	}
	return []table{t}
}
