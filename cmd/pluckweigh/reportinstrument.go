package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/physics"
	paper "pluckweigh/report"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

func newReportInstrument(r *reporting) *cobra.Command {
	var (
		held    ends
		session string
	)
	cmd := &cobra.Command{
		Use:   "instrument NAME",
		Short: "Report an instrument, its strings and what they pull at pitch",
		Long: `instrument reports the positions, the strings that are on them, what each pulls at pitch and
what that uncertainty comes from, and all together beside what the builder allows. A
position whose string is not known is shown as unknown. Where the instrument was surveyed,
what was heard last is told too, or in the session that --session names.

` + caution + "\n" + whip,
		Example: `  pluckweigh report instrument tenor --html tenor.html`,
		Args:    oneName,
		RunE: func(cmd *cobra.Command, args []string) error {
			return r.run(cmd.Context(), func(ctx context.Context, st *stock.Store) (*paper.Document, error) {
				return instrumentReport(ctx, st, args[0], session, held.Ends)
			})
		},
	}
	cmd.Flags().StringVar(&session, "session", "", "`name` of the survey to tell of (default the last of the instrument)")
	cmd.Flags().Var(&held, "ends", "how the strings are held: unknown, pinned or clamped")
	return cmd
}

// A reportedOn is what a report tells of the string at a position.
type reportedOn struct {
	name   string                         // empty for none named
	is     stock.String                   // zero where none is named
	pull   *physics.Result[physics.Force] // at pitch; nil for not known
	why    string                         // it is not
	load   *physics.Limit                 // what its core carries at pitch; nil for not known
	doubts []choose.Doubt
}

// instrumentReport is what is known of an instrument and what is on it.
func instrumentReport(ctx context.Context, st *stock.Store, name, session string, held physics.Ends) (*paper.Document, error) {
	x, err := st.Instrument(ctx, name)
	if err != nil {
		return nil, err
	}
	places, err := placesOf(x, held)
	if err != nil {
		return nil, err
	}
	on := make([]reportedOn, len(places))
	for i, n := range x.Strung() {
		s := &on[i]
		if s.name = n; n == "" {
			s.why = "which string is there is not known"
			continue
		}
		if s.is, err = st.String(ctx, n); err != nil {
			return nil, err
		}
		if s.is.UnitWeight.Value == 0 {
			s.why = "its unit weight is not known"
			continue
		}
		pull, err := choose.PullOf(places[i], s.is.String)
		if err != nil {
			s.why = "no pull comes of it: " + err.Error()
			continue
		}
		s.pull = &pull
		if at, err := choose.Retune(places[i:i+1], []traits.String{s.is.String}, []physics.Frequency{places[i].F0}); err == nil {
			s.load, s.doubts = at.Strings[0].Load, at.Strings[0].Doubts
		}
	}
	d := &paper.Document{Title: "Instrument " + x.Name, Cautions: cautions(caution, whip)}
	pulls, beyond, err := pullsAtPitch(x, on)
	if err != nil {
		return nil, err
	}
	d.Sections = append(d.Sections, instrumentIs(x, places), stringsOn(x, on), pulls)
	if doubts := instrumentDoubts(x, on); len(doubts) > 0 {
		d.Sections = append(d.Sections, paper.Section{Title: "Doubts", Items: doubts})
	}
	named := session != ""
	if !named {
		if session, err = lastSurvey(ctx, st, x.Name); err != nil {
			return nil, err
		}
	}
	if session != "" {
		heard, heardBeyond, err := surveyReported(ctx, st, x.Name, session, held)
		if err != nil && named {
			return nil, err
		}
		if err != nil {
			heardBeyond, heard = nil, []paper.Section{{Title: "As it was heard", Paragraphs: []string{fmt.Sprintf("Nothing can be told of the survey %q: %v.", session, err)}}}
		}
		beyond = append(beyond, heardBeyond...)
		d.Sections = append(d.Sections, heard...)
	}
	d.Cautions = append(beyond, d.Cautions...) // where nobody can overlook it
	d.Sections = append(d.Sections, stringsMeasured(on), budgets(x, on), calibrations(), paper.Section{Title: "To find the same again", Paragraphs: []string{
		"T = 4 L² f0² μ: a string of unit weight μ and speaking length L pulls with T where the flexible string would sound f0. A stiff one sounds partials n f0 √(1 + B n²) between pinned ends, and somewhat higher between clamped ones (Fletcher, J. Acoust. Soc. Am. 36 (1964) 203); of ends not known the middle is taken, and what that may be off is in the budgets."}}, howToRead())
	return d, nil
}

// instrumentIs describes the instrument.
func instrumentIs(x stock.Instrument, places []choose.Position) paper.Section {
	most := paper.Said(notKnown)
	if x.Most > 0 {
		most = paper.Exactly(physics.Format(x.Most, 0, 6), float64(x.Most), "N")
	}
	rows := [][]paper.Cell{fact("A4", paper.Exactly(physics.Format(x.A4, 0, 6), float64(x.A4), "Hz")), fact("all strings together may pull", most)}
	if s := x.Division.String(); s != "" {
		rows = append(rows, fact("division", paper.Said(fmt.Sprintf("%s: steps of %.6g cents", s, x.Division.Step()))))
	}
	t := paper.Table{Caption: "Positions, in the order of its owner", Columns: []string{"position", "tuned to", expandedHead("speaking length"), "fits"}}
	for i, p := range x.Positions {
		hz := float64(places[i].F0)
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(placeOf(x, i)), paper.Exactly(physics.Format(places[i].F0, 0, 6), hz, "Hz"),
			measuredCell(p.Length, "m"), paper.Said(fits(p))})
	}
	return paper.Section{Title: "The instrument", Tables: []paper.Table{facts("As its owner describes it", rows...), t}}
}

// fits is what strings fit a position.
func fits(p stock.Position) string {
	p.Strung = ""
	return orNotKnown(fitting(p))
}

// stringsOn tells of the strings that are on it.
func stringsOn(x stock.Instrument, on []reportedOn) paper.Section {
	t := paper.Table{Caption: "Strings by position, as they are in stock", Columns: []string{"position", "string", "kind", expandedHead("unit weight"), "of", expandedHead("diameter")}}
	for i, s := range on {
		if s.name == "" {
			t.Rows = append(t.Rows, []paper.Cell{paper.Said(placeOf(x, i)), paper.Said(notKnown), paper.Said(""), paper.Said(""), paper.Said(""), paper.Said("")})
			continue
		}
		weight, a := s.is.Best(stock.UnitWeight)
		of := a.String()
		if s.is.ByGauge {
			of = "its gauge and material"
		}
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(placeOf(x, i)), paper.Said(s.name), paper.Said(orNotKnown(s.is.Kind.String())),
			bestCell(weight), paper.Said(of), bestCell(firstOf(s.is.Best(stock.Outside)))})
	}
	return paper.Section{Title: "Its strings", Tables: []paper.Table{t}}
}

func firstOf(m stock.Measurement, _ stock.Agreement) stock.Measurement { return m }

// bestCell is a best value, if there is one.
func bestCell(m stock.Measurement) paper.Cell {
	if m.Value == 0 {
		return paper.Said(notKnown)
	}
	return foundCell(m)
}

// pullsAtPitch tells what each string pulls, and all together, and whether that is beyond
// what is allowed.
func pullsAtPitch(x stock.Instrument, on []reportedOn) (s paper.Section, beyond []string, err error) {
	s = paper.Section{Title: "Pulls at pitch", Paragraphs: []string{"Worked out from speaking length, note and unit weight; not heard."}}
	t := paper.Table{Caption: "What each string pulls when it is in tune", Columns: []string{"position", "string", expandedHead("pull"), expandedHead("core carries"), "remark"}}
	var all []physics.Result[physics.Force]
	l := chart.Levels{Title: x.Name + ": pulls at pitch", X: "position", Y: "pull (N)", K: physics.Coverage}
	low, high, loaded := math.Inf(1), math.Inf(-1), false
	for i, o := range on {
		pull, load, level := paper.Said(notKnown), paper.Said(notKnown), chart.Level{Place: placeOf(x, i), Name: o.name, None: o.pull == nil}
		if o.pull != nil {
			pull = measuredCell(o.pull.Measured, "N")
			level.Y, level.U = float64(o.pull.Value), float64(o.pull.U)
			if o.load != nil {
				l := o.load.Load
				load, loaded = paper.Of(loadSaid(o.load), 100*float64(l.Value), 100*float64(l.U), physics.Coverage, "%"), true
			}
			low, high = min(low, level.Y), max(high, level.Y)
			all = append(all, *o.pull)
		}
		l.Levels = append(l.Levels, level)
		t.Rows = append(t.Rows, []paper.Cell{paper.Said(placeOf(x, i)), paper.Said(orNotKnown(o.name)), pull, load, paper.Said(o.why)})
	}
	if loaded {
		s.Paragraphs = append(s.Paragraphs, strings.ToUpper(loadMeans[:1])+loadMeans[1:]+".")
	}
	s.Tables = append(s.Tables, t)
	if len(all) == 0 {
		s.Paragraphs = append(s.Paragraphs, "No pull is known.")
		return s, nil, nil
	}
	total, err := physics.Total(all, physics.OneBench)
	if err != nil {
		return s, nil, err
	}
	var spread *physics.Result[physics.Force]
	if len(all) > 1 {
		if spread, err = spreadOfPulls(all); err != nil {
			return s, nil, err
		}
	}
	s.Tables = append(s.Tables, together(x, len(all), len(on), spread, total))
	picture, err := drawn(l, "Pulls at pitch by position", fmt.Sprintf("The pull of each string in newtons by position, with bars of its expanded uncertainty (k = %d), from %.3g to %.3g N. The table above has the numbers.", physics.Coverage, low, high))
	s.Pictures = append(s.Pictures, picture)
	return s, beyondAllowed(x.Most, total, "at pitch, as worked out"), err
}

// together tells what holds of the pulls of all strings, or of those known.
func together(x stock.Instrument, known, of int, spread *physics.Result[physics.Force], total physics.Result[physics.Force]) paper.Table {
	name := "total"
	if known < of {
		name = fmt.Sprintf("total of %d of %d strings: the others are not counted", known, of)
	}
	rows := [][]paper.Cell{fact(expandedHead(name), measuredCell(total.Measured, "N"))}
	if spread != nil {
		rows = append(rows, fact(expandedHead("spread, from the lowest to the highest"), measuredCell(spread.Measured, "N")))
	}
	return facts("All strings together", append(rows, besideAllowed(x.Most, total, known == of)...)...)
}

// beyondAllowed warns of a total that is more than is allowed, or may be; nothing
// otherwise.
func beyondAllowed(most physics.Force, total physics.Result[physics.Force], when string) []string {
	is := fmt.Sprintf("the strings that are known pull %s (k = %d) together %s", total.Expanded(physics.Coverage), physics.Coverage, when)
	switch {
	case most == 0:
	case total.Value > most:
		return []string{fmt.Sprintf("MORE THAN IS ALLOWED: %s, and %s are allowed. Do not tune it up; slacken it and ask the instrument's maker or a qualified luthier.", is, physics.Format(most, 0, 6))}
	case total.Value+physics.Coverage*total.U > most:
		return []string{fmt.Sprintf("It may be more than is allowed: %s, and %s are allowed. Ask the instrument's maker or a qualified luthier before tuning it up.", is, physics.Format(most, 0, 6))}
	}
	return nil
}

// besideAllowed tells what is allowed, and whether a total of all strings, or of those
// known, keeps to it.
func besideAllowed(most physics.Force, total physics.Result[physics.Force], whole bool) [][]paper.Cell {
	var rows [][]paper.Cell
	if most > 0 {
		rows = append(rows, fact("allowed", paper.Exactly(physics.Format(most, 0, 6), float64(most), "N")))
	}
	verdict := "what is allowed is not known: ask the instrument's maker"
	switch {
	case most == 0:
	case total.Value > most:
		verdict = "MORE THAN IS ALLOWED: do not tune it up"
	case total.Value+physics.Coverage*total.U > most:
		verdict = "its uncertainty reaches more than is allowed"
	case !whole:
		verdict = "not known: strings are missing in the total"
	default:
		verdict = "within what is allowed; ask the instrument's maker before raising it"
	}
	return append(rows, fact("beside what is allowed", paper.Said(verdict)))
}

// fewShown is how many measurements of each of its strings an instrument's report lists.
const fewShown = 12

// stringsMeasured lists the latest measurements of each string that is on it, once.
func stringsMeasured(on []reportedOn) paper.Section {
	s := paper.Section{Title: "How its strings were measured"}
	told := map[string]bool{}
	for _, o := range on {
		if len(o.is.Measurements) > 0 && !told[o.name] {
			s.Tables = append(s.Tables, measurementTables(o.is, fewShown)...)
			told[o.name] = true
		}
	}
	if len(s.Tables) == 0 {
		s.Paragraphs = []string{"Nothing of them was measured."}
		return s
	}
	s.Paragraphs = []string{"Shares of each of these uncertainties by input: " + notKept + "."}
	return s
}

// budgets tell what the uncertainty of each pull comes from.
func budgets(x stock.Instrument, on []reportedOn) paper.Section {
	t := budgetsTable("The uncertainty of each pull at pitch, by what it comes from")
	for i, o := range on {
		if o.pull != nil {
			addBudget(&t, placeOf(x, i), o.pull.Budget)
		}
	}
	return budgetSection("What the uncertainties at pitch come from", t)
}

// instrumentDoubts say what may be wrong with the pulls.
func instrumentDoubts(x stock.Instrument, on []reportedOn) []string {
	var all []string
	for i, o := range on {
		if o.why != "" {
			all = append(all, fmt.Sprintf("%s: %s.", placeOf(x, i), o.why))
			continue
		}
		for _, d := range o.doubts {
			all = append(all, fmt.Sprintf("%s, %s: %s.", placeOf(x, i), o.name, d.Say))
		}
		for _, d := range stringDoubts(o.is) {
			all = append(all, fmt.Sprintf("%s, %s: %s", placeOf(x, i), o.name, d))
		}
	}
	return all
}
