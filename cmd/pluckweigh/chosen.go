package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// A chosen is what was asked, and the answer.
type chosen struct {
	on       stock.Instrument
	wish     stock.Wish
	kept     bool // that is the instrument's
	question choose.Question
	answer   choose.Choice
	stocked
}

// wishFor finds what is wished for at its positions: by the flags, or as it is kept.
func (a *chosen) wishFor(ctx context.Context, st *stock.Store, flags *wishing, held physics.Ends) (err error) {
	a.wish, a.kept = flags.over(a.on.Wish), len(flags.kinds()) == 0
	switch {
	case a.wish.Kind == stock.NoWish:
		return &callError{"choose needs to know what the strings should be like", "add --pull 160N, --slope 180N:140N, --even or --like INSTRUMENT, or keep a wish with `pluckweigh stock edit --instrument`"}
	case a.wish.Kind == stock.EvenWish && a.wish.Within > 0 && len(a.wish.Forces) == 0:
		return &callError{"--within needs to know what from", "add --about, like --about 160N"}
	}
	a.question.Wish, err = overPositions(ctx, st, a.wish, a.question.Positions, held)
	return err
}

// keptSaid tells of a wish that is the instrument's.
func keptSaid(kept bool) string {
	if kept {
		return ", the wish kept with it"
	}
	return ""
}

// weightless is the error where there are strings and no unit weight is known.
var weightless = &callError{"of no string in stock is the unit weight known", "find it with `pluckweigh weigh`, and keep it with --keep"}

// weighed tells whether a string's unit weight is known.
func weighed(s *traits.String) bool { return s.UnitWeight.Value > 0 }

// name is that of a string, or says that there is none.
func (a *chosen) name(str int) string {
	if str == choose.Empty {
		return noneThere
	}
	return a.strings[str].Name
}

// names are those of the strings, by position, empty for none.
func (a *chosen) names() []string {
	var out []string
	for _, p := range a.answer.Picks {
		out = append(out, strings.TrimSuffix(a.name(p.String), noneThere))
	}
	return out
}

// doubts are those of a pick.
func (a *chosen) doubts(p choose.Pick) []choose.Doubt {
	if a.odd[p.String] {
		return append(p.Doubts[:len(p.Doubts):len(p.Doubts)], disagree)
	}
	return p.Doubts
}

// closeTo is the part of its strength from which on a core is near to breaking
// (common practice, no source).
const closeTo = 0.7

// near tells whether a load is near to breaking.
func near(l *physics.Limit) bool { return l != nil && (l.Load.Value >= closeTo || l.Doubtful()) }

// strained tells whether a string of the set is near to breaking.
func (a *chosen) strained() bool {
	for _, p := range a.answer.Picks {
		if near(p.Load) {
			return true
		}
	}
	return false
}

// loaded tells whether of a string it is known what its core carries.
func (a *chosen) loaded() bool {
	for _, p := range a.answer.Picks {
		if p.Load != nil {
			return true
		}
	}
	return false
}

// loadMeans says what "core carries" is of.
const loadMeans = "core carries: of the least strength asked of new wire; kinks, edges and wear break it sooner"

// place names a position.
func (a *chosen) place(position int) string { return placeOf(a.on, position) }

// write prints it for a person.
func (a *chosen) write(w io.Writer) error {
	fmt.Fprintf(w, "%s: %s%s\n", a.on.Name, wishSaid(a.wish, false), keptSaid(a.kept))
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	a.writePicks(t)
	fmt.Fprintln(t)
	a.writeSums(t, a.answer.Set)
	a.writeNeeds(t)
	if a.loaded() {
		fmt.Fprintln(t, "  "+loadMeans)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	var all []doubted
	for _, p := range a.answer.Picks {
		for _, d := range a.doubts(p) {
			all = append(all, doubted{a.place(p.Position), d})
		}
	}
	writeDoubted(w, all)
	a.writeAlternatives(w)
	if a.unknown > 0 {
		fmt.Fprintf(w, "\n  left out: %d of %d strings, of which the unit weight is not known\n", a.unknown, a.unknown+len(a.strings))
	}
	return nil
}

func (a *chosen) writePicks(w io.Writer) {
	feels := a.wish.Feel > 0
	fmt.Fprintf(w, "  position\tstring\tpull (k = %d)", physics.Coverage)
	if feels {
		fmt.Fprint(w, "\tside force")
	}
	if a.wished() {
		fmt.Fprint(w, "\twish")
	}
	fmt.Fprintln(w, "\tcore carries")
	for _, p := range a.answer.Picks {
		cells := []string{a.place(p.Position), a.name(p.String), ""}
		load := ""
		if p.String != choose.Empty {
			cells[2], load = p.Pull.Expanded(physics.Coverage), loadSaid(p.Load)
		}
		if feels {
			cells = append(cells, "")
			if p.String != choose.Empty {
				cells[3] = p.Push.Expanded(physics.Coverage)
			}
		}
		if a.wished() {
			cells = append(cells, physics.Format(p.Wanted, 0, 4))
		}
		fmt.Fprintf(w, "  %s\n", strings.TrimRight(strings.Join(append(cells, load), "\t"), "\t"))
	}
}

// wished tells whether the wish names a value.
func (a *chosen) wished() bool { return a.wish.Kind != stock.EvenWish || len(a.wish.Forces) > 0 }

// loadSaid is what part of its strength a core carries, where that is known.
func loadSaid(l *physics.Limit) string {
	if l == nil {
		return "not known"
	}
	return l.Load.Expanded(physics.Coverage)
}

// writeSums prints what holds of a set as a whole.
func (a *chosen) writeSums(w io.Writer, s choose.Set) {
	if s.Filled() == 0 {
		fmt.Fprintln(w, "  no string in stock suits any position")
		return
	}
	if s.Filled() > 1 {
		fmt.Fprintf(w, "  spread\t%s from the lowest to the highest\n", physics.Format(s.Spread, 0, 3))
	}
	if a.wish.Kind != stock.EvenWish {
		fmt.Fprintf(w, "  off the wish\t%s, root mean square\n", physics.Format(s.Objective, 0, 3))
	}
	if s.Close() {
		fmt.Fprintln(w, "  \tthat is less than any of the pulls is known to: other sets may be as good")
	}
	if !a.wished() && s.Filled() > 1 {
		fmt.Fprintln(w, "  \tslack strings differ by the least: --about names a level, like --about 150N")
	}
	writeTotal(w, "total", s.Total, a.question.Limits.Total)
	if a.answer.Gap > 0 {
		fmt.Fprintln(w, "  not proved to be the best: the limit of the total leaves too many sets to try")
	}
}

// writeTotal prints a total with what is allowed, 0 for not known.
func writeTotal(w io.Writer, name string, total physics.Result[physics.Force], allowed physics.Force) {
	for _, l := range totalSaid(name, total, allowed) {
		fmt.Fprintf(w, "  %s\t%s\n", l.name, l.say)
	}
}

// totalSaid says a total with what is allowed, 0 for not known.
func totalSaid(name string, total physics.Result[physics.Force], allowed physics.Force) []stated {
	limit := ""
	if allowed > 0 {
		limit = ", of " + physics.Format(allowed, 0, 4) + " that are allowed"
	}
	all := []stated{{name, fmt.Sprintf("%s  (k = %d)%s: ask the instrument's maker before raising it", total.Expanded(physics.Coverage), physics.Coverage, limit)}}
	switch {
	case allowed == 0:
	case total.Value > allowed:
		all = append(all, stated{"", "MORE THAN IS ALLOWED: do not put it on"})
	case total.Value+physics.Coverage*total.U > allowed:
		all = append(all, stated{"", "its uncertainty reaches more than is allowed"})
	}
	return all
}

// writeNeeds prints what empty positions would take.
func (a *chosen) writeNeeds(w io.Writer) {
	for _, p := range a.answer.Picks {
		if p.String != choose.Empty {
			continue
		}
		fmt.Fprintf(w, "  %s\t", a.place(p.Position))
		if p.Need == nil {
			fmt.Fprintln(w, "no string in stock suits")
			continue
		}
		fmt.Fprintf(w, "no string in stock suits: it takes %s", physics.Format(p.Need.UnitWeight, 0, 3))
		if b := buildSaid(p.Need.Build); b != "" {
			fmt.Fprintf(w, ", such as %s", b)
		}
		fmt.Fprintln(w)
	}
}

// buildSaid is a build in words, empty for none.
func buildSaid(b physics.Build) string {
	if b.Core.Size.Value == 0 {
		return ""
	}
	s := fmt.Sprintf("%s of %s", b.Core.Of.Name, physics.Format(b.Core.Size.Value, physics.Millimetre, 3))
	for _, w := range b.Wraps {
		s += fmt.Sprintf(" wrapped with %s of %s", w.Of.Name, physics.Format(w.Wire.Value, physics.Millimetre, 3))
	}
	return s
}

// A doubted is a doubt and where it holds.
type doubted struct {
	where string
	choose.Doubt
}

// writeDoubted prints doubts, each once with all the places it holds of.
func writeDoubted(w io.Writer, all []doubted) {
	var order []string
	where := map[string][]string{}
	for _, d := range all {
		if where[d.Say] == nil {
			order = append(order, d.Say)
		}
		where[d.Say] = append(where[d.Say], d.where)
	}
	if len(order) > 0 {
		fmt.Fprintf(w, "\n  doubts\n")
	}
	for _, say := range order {
		fmt.Fprintf(w, "    %s: %s\n", strings.Join(where[say], ", "), say)
	}
}

// writeAlternatives prints the next best sets and what each would change.
func (a *chosen) writeAlternatives(w io.Writer) {
	if len(a.answer.Alternatives) == 0 {
		return
	}
	what := "off the wish"
	if a.wish.Kind == stock.EvenWish {
		what = "spread"
	}
	fmt.Fprintf(w, "\n  next best\n")
	for i, alt := range a.answer.Alternatives {
		fmt.Fprintf(w, "    %d  %s %s, total %s\n", i+1, what, physics.Format(alt.Objective, 0, 3), physics.Format(alt.Total.Value, 0, 4))
		for _, c := range alt.Changes {
			fmt.Fprintf(w, "       %s: %s in place of %s, %+.3g N", a.place(c.Position), a.name(c.To), a.name(c.From), float64(c.Pull))
			known := a.doubts(a.answer.Picks[c.Position])
			for _, d := range a.doubts(alt.Picks[c.Position]) {
				if !slices.Contains(known, d) {
					fmt.Fprintf(w, "; %s", d.Say)
				}
			}
			fmt.Fprintln(w)
		}
	}
}
