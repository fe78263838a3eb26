package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
	"pluckweigh/survey"
)

// write prints it for a person.
func (t *surveyTold) write(w io.Writer) error {
	const k = physics.Coverage
	fmt.Fprintf(w, "\n%s: %s", t.on.Name, counted(len(t.w.plucks), "pluck"))
	if len(t.on.targets) > 0 {
		fmt.Fprintf(w, "; wish: %s%s", wishSaid(t.on.wish, true), keptSaid(t.on.kept))
	}
	fmt.Fprintln(w)
	tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(tab, "  position\tstring\tcents off (k = %d)\tpulls (k = %d)\tat pitch (k = %d)", k, k, k)
	if len(t.on.targets) > 0 {
		fmt.Fprint(tab, "\twish")
	}
	fmt.Fprintln(tab)
	for i, s := range t.strings {
		cells := []string{t.place(i), s.name, "", "", ""}
		if cells[1] == "" {
			cells[1] = noneThere
		}
		if s.Heard() {
			cells[2] = expandedCents(s.Cents, s.U)
		}
		if s.found != nil {
			cells[3], cells[4] = s.found.Expanded(k), s.at.Expanded(k)
		}
		if len(t.on.targets) > 0 {
			cells = append(cells, physics.Format(s.wanted, 0, 4))
		}
		fmt.Fprintf(tab, "  %s\n", strings.TrimRight(strings.Join(cells, "\t"), "\t"))
	}
	if t.pulls > 0 {
		fmt.Fprintln(tab)
	}
	for i, s := range t.strings {
		if s.byClip {
			fmt.Fprintf(tab, "  %s weighs\t%s  (k = %d), by the clip\n", t.place(i), s.weight.Expanded(k), k)
		}
	}
	t.writeTotals(tab)
	if err := tab.Flush(); err != nil {
		return err
	}
	t.writeMends(w)
	t.writeOpen(w)
	var all []doubted
	for i, s := range t.strings {
		for _, d := range s.doubts {
			all = append(all, doubted{t.place(i), d})
		}
	}
	writeDoubted(w, all)
	return nil
}

// expandedCents prints an interval with its expanded uncertainty.
func expandedCents(v, u float64) string {
	s := physics.Stated(physics.Inharmonicity(v), physics.Inharmonicity(u)).Expanded(physics.Coverage)
	if v > 0 {
		s = "+" + s
	}
	return s
}

func (t *surveyTold) place(i int) string { return placeOf(t.on.Instrument, i) }

// writeTotals prints what holds of all strings together.
func (t *surveyTold) writeTotals(w io.Writer) {
	for _, l := range t.totals() {
		fmt.Fprintf(w, "  %s\t%s\n", l.name, l.say)
	}
}

// totals says what holds of all strings together.
func (t *surveyTold) totals() (all []stated) {
	if t.pulls == 0 {
		return nil
	}
	if t.spread != nil {
		all = append(all, stated{"spread", fmt.Sprintf("%s as found, %s at pitch, from the lowest to the highest  (k = %d)", t.spread.Expanded(physics.Coverage), t.spreadAt.Expanded(physics.Coverage), physics.Coverage)})
	}
	name, most := "total", t.on.Most
	if !t.whole() {
		// What is not counted may make it too much.
		name = fmt.Sprintf("total of %d of %d", t.pulls, len(t.strings))
	}
	all = append(all, stated{name, fmt.Sprintf("%s  (k = %d) as found", t.found.Expanded(physics.Coverage), physics.Coverage)})
	return append(all, totalSaid(name+", at pitch", t.at, most)...)
}

// writeMends prints what is off, and what would mend it.
func (t *surveyTold) writeMends(w io.Writer) {
	lines := t.mends()
	if len(lines) == 0 {
		return
	}
	fmt.Fprintln(w, "\n  to mend")
	for _, l := range lines {
		fmt.Fprintf(w, "    %s\n", l)
	}
}

// mends lists what is off, and what would mend it.
func (t *surveyTold) mends() (lines []string) {
	raise := false
	for i, s := range t.strings {
		if s.outOfTune {
			way := "down"
			if s.toBeRaised {
				way, raise = "up", true
			}
			line := fmt.Sprintf("%s is %.0f cents out of tune: tune it %s", t.place(i), math.Abs(s.Cents), way)
			if s.found != nil {
				line += fmt.Sprintf(", which changes its pull by %+.2g N", float64(s.at.Value-s.found.Value))
			}
			if s.load != nil && near(s.load) && s.toBeRaised {
				line += fmt.Sprintf("; its core then carries %s of its strength (k = %d)", loadSaid(s.load), physics.Coverage)
			}
			lines = append(lines, line)
		}
		if !s.off {
			continue
		}
		line := fmt.Sprintf("%s at pitch pulls %+.2g N beside the wish: a string of %s would pull as wished", t.place(i), float64(s.at.Value-s.wanted),
			physics.Format(s.needed, s.weight.Unit, 3))
		if s.other != "" {
			line += fmt.Sprintf("; in stock %s is nearest, %s (k = %d)", s.other, s.otherPull.Expanded(physics.Coverage), physics.Coverage)
		}
		lines = append(lines, line)
	}
	if raise {
		lines = append(lines, "raise strings little by little, with the face away from them; ask the instrument's maker what it bears")
	}
	return lines
}

// writeOpen prints plucks of which it is open which string they are of.
func (t *surveyTold) writeOpen(w io.Writer) {
	all := t.open()
	if len(all) > 0 {
		fmt.Fprintln(w, "\n  open")
	}
	for _, say := range all {
		fmt.Fprintf(w, "    %s\n", say)
	}
}

// open says each once of plucks of which it is open which string they are of.
func (t *surveyTold) open() (all []string) {
	for i, v := range t.verdicts {
		if v.Place != survey.Nowhere {
			continue
		}
		if say := t.w.open(v, t.w.plucks[i].Heard); !slices.Contains(all, say) {
			all = append(all, say)
		}
	}
	return all
}

// picture lays the pulls out by position, as found and at pitch.
func (t *surveyTold) picture() chart.Levels {
	l := chart.Levels{Title: t.on.Name + ": pulls at pitch, and as found", X: "position", Y: "pull (N)", K: physics.Coverage, Was: "as found", Is: "at pitch", Odd: "off the wish"}
	if len(t.on.targets) > 0 {
		l.Wished = "wish"
	}
	for i, s := range t.strings {
		v := chart.Level{Place: t.place(i), Name: s.name, Wish: float64(s.wanted), None: s.at == nil, Odd: s.off}
		if s.at != nil {
			v.Y, v.U, v.Was, v.WasU = float64(s.at.Value), float64(s.at.U), float64(s.found.Value), float64(s.found.U)
		}
		l.Levels = append(l.Levels, v)
	}
	return l
}
