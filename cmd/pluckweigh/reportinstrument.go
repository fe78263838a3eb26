package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

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
		Args:    oneNamed("tenor"),
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
	wanted physics.Force                  // 0 for no wish
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
	noWish := wishAtPitch(ctx, st, x, places, held, on)
	pulls, beyond, err := pullsAtPitch(x, on)
	if err != nil {
		return nil, err
	}
	if noWish != "" {
		pulls.Paragraphs = append(pulls.Paragraphs, noWish)
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
	if x.Wish.Kind != stock.NoWish {
		rows = append(rows, fact("its strings should be", paper.Said(wishWhole(x.Wish))))
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
