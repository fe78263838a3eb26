package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// A choosing is what the command choose is told.
type choosing struct {
	streams
	file         stockFile
	wish         wishing
	mostLoad     amount[physics.Fraction]
	total        amount[physics.Force]
	plain, wound whichPositions
	held         ends
	alternatives int
	picture      picture
	overwrite    bool
	stringUp     bool
	json         bool
}

// usualLoad is the most of its strength that a core carries unless more is asked for
// (common practice, no source).
const usualLoad = 0.8

// mostAlternatives is more than anybody reads.
const mostAlternatives = 20

func newChoose(s streams) *cobra.Command {
	c := &choosing{streams: s, mostLoad: amount[physics.Fraction]{value: usualLoad}}
	cmd := &cobra.Command{
		Use:   "choose INSTRUMENT [--pull FORCE[,FORCE...] | --slope LOW:HIGH | --even [--about FORCE] | --like INSTRUMENT]",
		Short: "Choose the strings in stock that an instrument should have",
		Long: `choose finds which strings of the stock an instrument should have, out of all ways to
string it: no other set comes nearer to the wish within the limits.

    --pull 160N            each pulls as hard; or one force for each position
    --slope 180N:140N      on a line from the lowest note to the highest
    --even                 the least spread, from the lowest pull to the highest
    --like INSTRUMENT      what each string of another instrument pulls
    --feel DEPTH           with one of these: how hard they are to push aside, not to pull

Without these it takes the wish that is kept with the instrument: stock edit, in the same
words.

The first two and --like mind the sum of squares of what the strings are off the wish;
--even minds the spread and, of those with the least, what they are off --about.

A string is used no more often than there are of it, and fits its position: the nut's
slot, --plain and --wound. The instrument's limit of the total pull is kept, or --total.
A core carries no more than ` + physics.Format(physics.Fraction(usualLoad), 0, 2) + ` of the least strength that standards ask of its wire
(--most-load); that of a plain string follows from its gauge and material, of a wound one
from its material and the stiffness heard. What could not be held against a limit is said.
Where no string will do, or there is none, the unit weight that would is said, and a build
that has it.

Put strings and instruments in stock with pluckweigh stock add. All ± are with k = 2.

` + caution + "\n" + whip,
		Example: `  pluckweigh choose tenor --pull 160N
  pluckweigh choose tenor --slope 180N:150N --plain 3,4 --alternatives 3
  pluckweigh choose tenor --even --about 165N --within 20N --picture set.svg
  pluckweigh choose tenor --like alto --feel 3mm --string-up`,
		Args: oneNamed("tenor"),
		RunE: func(cmd *cobra.Command, args []string) error { return c.run(cmd.Context(), args[0]) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	c.wish.addTo(f)
	f.Var(&c.mostLoad, "most-load", fmt.Sprintf("part of its least strength that a core may carry (default %s)", physics.Format(c.mostLoad.value, 0, 2)))
	f.Var(&c.total, "total", "pull of all strings together, like 700N (default what the instrument's builder allows)")
	f.Var(&c.plain, "plain", "positions for plain strings, like 1,2")
	f.Var(&c.wound, "wound", "positions for wound strings, like 3-6")
	f.Var(&c.held, "ends", "how the strings are held: unknown, pinned or clamped")
	f.IntVar(&c.alternatives, "alternatives", 2, "`number` of the next best sets to show")
	c.picture.addTo(f, "the pulls by position and the wish")
	f.BoolVar(&c.overwrite, "overwrite", false, "let --picture replace a file")
	f.BoolVar(&c.stringUp, "string-up", false, "keep in the stock that these strings are on the instrument now")
	c.file.addTo(f)
	f.BoolVar(&c.json, "json", false, "print JSON in SI units")
	return cmd
}

func (c *choosing) run(ctx context.Context, instrument string) error {
	if err := c.check(); err != nil {
		return err
	}
	a, err := c.ask(ctx, instrument)
	if err != nil {
		return err
	}
	if err := a.lack(weightless); err != nil {
		if w := a.question.Wish; len(w.Targets) == 0 && w.Near == 0 {
			return err // nor does the wish say what strings it would take
		}
		report(c.err, err)
	}
	if a.answer, err = a.question.Best(); err != nil {
		return err
	}
	if a.strained() {
		fmt.Fprintln(c.err, caution+"\n"+whip)
	}
	if c.json {
		err = writeLine(c.out, a.json())
	} else {
		err = a.write(c.out)
	}
	if err != nil {
		return err
	}
	if a.answer.Filled() == 0 {
		if c.picture.name != "" || c.stringUp {
			fmt.Fprintln(c.err, "nothing was drawn or strung: no position has a string")
		}
		return nil
	}
	if err := c.picture.draw(a.picture()); err != nil {
		return err
	}
	if !c.stringUp {
		return nil
	}
	err = c.file.change(ctx, func(st *stock.Store) error { return st.StringUp(ctx, instrument, a.names()) })
	if err == nil {
		fmt.Fprintf(c.err, "strung %q\n", instrument)
	}
	return err
}

// check refuses what cannot be answered, before anything is read.
func (c *choosing) check() error {
	if err := c.wish.check(); err != nil {
		return err
	}
	switch {
	case !(c.mostLoad.value > 0 && c.mostLoad.value <= 1):
		return &callError{fmt.Sprintf("--most-load: %s is no part of a strength", c.mostLoad.text), "write it like 70%"}
	case c.alternatives < 0 || c.alternatives > mostAlternatives:
		return &callError{fmt.Sprintf("--alternatives: %d is not between 0 and %d", c.alternatives, mostAlternatives), "write how many, like 2"}
	case c.overwrite && c.picture.name == "":
		return &callError{"--overwrite has nothing to overwrite", "say where with --picture set.svg"}
	}
	return c.picture.check(c.overwrite)
}

// ask makes a question of what the stock has.
func (c *choosing) ask(ctx context.Context, instrument string) (a *chosen, err error) {
	a = &chosen{}
	err = c.file.read(ctx, func(st *stock.Store) error {
		if a.on, err = st.Instrument(ctx, instrument); err != nil {
			return err
		}
		if a.question.Positions, err = placesOf(a.on, c.held.Ends); err != nil {
			return err
		}
		if err := c.kinds(a.question.Positions); err != nil {
			return err
		}
		if err := a.wishFor(ctx, st, &c.wish, c.held.Ends); err != nil {
			return err
		}
		return a.read(ctx, st, weighed)
	})
	a.question.Strings = a.strings
	a.question.Limits = choose.Limits{MostLoad: c.mostLoad.value, Total: a.on.Most}
	if c.total.text != "" {
		a.question.Limits.Total = c.total.value
	}
	a.question.Alternatives = c.alternatives
	return a, err
}

// kinds says at which positions strings are to be plain or wound, in place of what is
// kept of the instrument.
func (c *choosing) kinds(positions []choose.Position) error {
	said := map[int]traits.Kind{}
	for _, w := range []struct {
		flag string
		of   whichPositions
		kind traits.Kind
	}{{"plain", c.plain, traits.Plain}, {"wound", c.wound, traits.Wound}} {
		for _, n := range w.of.all {
			if n > len(positions) {
				return &callError{fmt.Sprintf("--%s: there is no position %d of %d", w.flag, n, len(positions)), "see `pluckweigh stock show --instrument NAME`"}
			}
			if k, twice := said[n]; twice && k != w.kind {
				return &callError{fmt.Sprintf("position %d is to have a plain string and a wound one", n), "name it in --plain or in --wound"}
			}
			said[n], positions[n-1].Kind = w.kind, w.kind
		}
	}
	return nil
}
