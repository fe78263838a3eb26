package main

import (
	"context"
	"fmt"
	"math"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
	paper "pluckweigh/report"
	"pluckweigh/settle"
	"pluckweigh/stock"
)

// A page of a report has room for so many readings; of more, evenly spaced ones are shown.
const mostShown = 240

func newReportSettle(r *reporting) *cobra.Command {
	w := &settling{within: quantity[physics.PitchInterval]{role: tolerated}, ahead: lasting(time.Hour), zone: time.Local}
	w.within.Value, w.within.text = 1, "1cent"
	reference := referencePitch()
	cmd := &cobra.Command{
		Use:   "settle SESSION",
		Short: "Report how a string settled that was watched",
		Long: `settle reports what the readings of a session of pluckweigh settle say: the pitch now and
its drift, the laws, the steps, and whether it will hold. Flags as of pluckweigh settle say
what is not kept with a session: what warmth does to the string, and when something was
done to it.

` + caution,
		Example: `  pluckweigh report settle "tenor E" --html settled.html --csv settled.csv`,
		Args:    oneNamed(`"tenor E"`),
		RunE: func(cmd *cobra.Command, args []string) error {
			w.session, w.given, w.warm.given, w.now = args[0], cmd.Flags().Changed, cmd.Flags().Changed, time.Now()
			if err := w.warm.check(); err != nil {
				return err
			}
			event, err := w.eventTime()
			if err != nil {
				return err
			}
			return r.run(cmd.Context(), func(ctx context.Context, st *stock.Store) (*paper.Document, error) {
				all, err := w.kept(ctx, st)
				if err != nil {
					return nil, err
				}
				a, err := w.answer(all, reference.hz, event, nil)
				if err != nil {
					return nil, err
				}
				return settleReport(a)
			})
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.Var(&w.within, "within", "how far the pitch may move, like 1cent")
	f.Var(&w.ahead, "for", "and for how long, like 60min")
	f.StringVar(&w.event, "event", "", "`time` at which something was done to the string")
	f.Var(&reference, "reference", "reference pitch: the frequency of A4")
	w.warm.addTo(f)
	return cmd
}

// estimateCell is an estimate, of which the unit has so many.
func estimateCell(e settle.Estimate, times float64, unit string) paper.Cell {
	if math.IsNaN(e.Value) {
		return paper.Said(notKnown)
	}
	return paper.Of(signed(e, times, unit), e.Value*times, e.U*times, physics.Coverage, unit)
}

// settleReport is what is told of a string that was watched.
func settleReport(a *settled) (*paper.Document, error) {
	d := &paper.Document{Title: "How " + a.session + " settled", Cautions: cautions(caution)}
	found, err := settleFound(a)
	if err != nil {
		return nil, err
	}
	d.Sections = append(d.Sections, found, settleLaws(a))
	if len(a.doubts) > 0 {
		s := paper.Section{Title: "Doubts"}
		for _, x := range a.doubts {
			s.Items = append(s.Items, x.Say)
		}
		d.Sections = append(d.Sections, s)
	}
	d.Sections = append(d.Sections, settleReadings(a), calibrations(), howToRead())
	return d, nil
}

// settleFound tells what came of it.
func settleFound(a *settled) (paper.Section, error) {
	c := a.course
	last := c.Readings[len(c.Readings)-1].At
	scatter := paper.Exactly(fmt.Sprintf("%.2g cents beyond what each reading may be off by (k = 1)", c.Scatter), c.Scatter, "cents")
	rows := [][]paper.Cell{
		fact("note", paper.Said(fmt.Sprintf("%s, for A4 at %s", a.note.Name(), physics.Format(a.a4, 0, 6)))),
		fact(expandedHead("pitch at the last reading, above the note"), estimateCell(c.At(last), 1, "cents")),
		fact(expandedHead("drift at the last reading"), estimateCell(c.Drift(last), 3600, "cents/h")),
		fact("scatter", scatter),
		fact("watched for", paper.Exactly(lasted(c.Span()), c.Span(), "s")),
		fact("within "+wished(a.forecast), paper.Said(verdict(a.forecast))),
	}
	if b := a.back; b != nil {
		rows = append(rows, fact(expandedHead("at once after "+a.moment(a.event.Since(a.readings[0].when))+", as against before"), estimateCell(b.AtOnce, 1, "cents")),
			fact(expandedHead("returned to pitch but for"), estimateCell(b.Off, 1, "cents")))
	}
	if c.Warmth != nil {
		rows = append(rows, fact(expandedHead(fmt.Sprintf("warmth, taken out to %.1f °C", c.MeanWarmer())), estimateCell(*c.Warmth, 1, "cents/K")))
	}
	if !a.forecast.TooShort {
		rows = append(rows, fact(expandedHead("by then it moves by"), estimateCell(a.forecast.Move, 1, "cents")),
			fact("probability that it stays within", paper.Exactly(probability(a.forecast.Holds), 100*a.forecast.Holds, "%")))
	}
	s := paper.Section{Title: "What was found", Tables: []paper.Table{facts("Readings from "+a.moment(0)+" to "+a.moment(last), rows...)}}
	if len(c.Steps) > 0 {
		t := paper.Table{Caption: "Steps", Columns: []string{"between", "and", expandedHead("by")}}
		for _, x := range c.Steps {
			t.Rows = append(t.Rows, []paper.Cell{paper.Exactly(a.moment(x.After), x.After, "s"), paper.Exactly(a.moment(x.Before), x.Before, "s"), estimateCell(x.Size, 1, "cents")})
		}
		s.Tables = append(s.Tables, t)
	}
	course := a.chart()
	say := fmt.Sprintf("Cents over time: %s as dots with bars, and the law they follow with its band (both k = %d), reaching into what is to come.", counted(len(course.Readings), "reading"), physics.Coverage)
	if every := thinned(len(course.Readings)); every > 1 {
		thin := course.Readings[:0:0]
		for i := 0; i < len(course.Readings); i += every {
			thin = append(thin, course.Readings[i])
		}
		course.Readings = thin
		say += fmt.Sprintf(" Only every %dth reading is drawn.", every)
	}
	picture, err := drawn(course, "The pitch over time", say)
	s.Pictures = append(s.Pictures, picture)
	return s, err
}

// thinned is every how manieth of so many readings is shown.
func thinned(n int) int { return (n + mostShown - 1) / mostShown }

// settleLaws tells the laws that were tried.
func settleLaws(a *settled) paper.Section {
	t := paper.Table{Caption: fmt.Sprintf("Laws, t since %s; weights by the corrected information criterion of Akaike", a.moment(a.course.Readings[0].At)),
		Columns: []string{"law", "weight", "formula", expandedHead("a"), expandedHead("b"), "τ, and what holds it with 95 %"}}
	for _, l := range a.course.Laws {
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(l.Law.String()), paper.Exactly(fmt.Sprintf("%.0f %%", 100*l.Weight), 100*l.Weight, "%"), paper.Said(forms[l.Law]),
			estimateCell(l.A, 1, "cents"), slopeCell(l), tauCell(l)})
	}
	return paper.Section{Title: "What law it follows", Tables: []paper.Table{t}}
}

// slopeCell is the b of a law, empty where it has none.
func slopeCell(l settle.Told) paper.Cell {
	switch l.Law {
	case settle.Still:
		return paper.Said("")
	case settle.Linear:
		return estimateCell(l.B, 3600, "cents/h")
	}
	return estimateCell(l.B, 1, "cents")
}

// tauCell is the τ of a law, empty where it has none.
func tauCell(l settle.Told) paper.Cell {
	switch {
	case l.Law != settle.Logarithmic && l.Law != settle.Exponential:
		return paper.Said("")
	case l.TauTold && l.Tau.Value > 0:
		return paper.Of(tauSaid(l), l.Tau.Value, l.Tau.U, physics.Coverage, "s")
	}
	return paper.Said(tauSaid(l))
}

// settleReadings lists what was heard, before an event too.
func settleReadings(a *settled) paper.Section {
	var all []settle.Judged
	before := 0
	if a.back != nil {
		all = append(all, a.back.Before.Readings...)
		before = len(all)
	}
	all = append(all, a.course.Readings...)
	takes := map[float64]string{} // by time
	for _, p := range a.readings {
		takes[p.when.Since(a.readings[0].when)] = p.take
	}
	s := paper.Section{Title: "Readings"}
	every := thinned(len(all))
	if every > 1 {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Of %d readings every %dth is listed; `pluckweigh settle --show --json` prints all.", len(all), every))
	}
	law := "law"
	if a.warmth != nil {
		law = fmt.Sprintf("law at %.1f °C", a.course.MeanWarmer())
	}
	t := paper.Table{Caption: fmt.Sprintf("Each reading: seconds since %s, cents above %s", a.moment(0), a.note.Name()),
		Columns: []string{"time, s", expandedHead("heard"), expandedHead(law), "temperature", "in", "remark"}}
	for i := 0; i < len(all); i += every {
		r := all[i]
		follows, remark := paper.Said("before the event"), ""
		if i >= before {
			follows = estimateCell(a.course.At(r.At), 1, "cents")
		}
		if r.Odd() {
			remark = "does not belong to the rest, and counts for little"
		}
		warm := paper.Said(notKnown)
		if !math.IsNaN(r.Warmer) {
			warm = paper.Exactly(fmt.Sprintf("%.1f °C", r.Warmer), r.Warmer, "°C")
		}
		t.Rows = append(t.Rows, []paper.Cell{paper.Exactly(fmt.Sprintf("%.1f", r.At), r.At, "s"),
			estimateCell(settle.Estimate{Value: r.Cents, U: r.U}, 1, "cents"), follows, warm, paper.Said(takes[r.At]), paper.Said(remark)})
	}
	s.Tables = append(s.Tables, t)
	return s
}
