package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// instrumentFlags are flags that say what an instrument is.
type instrumentFlags struct {
	reference frequency
	division  division
	total     quantity[physics.Force]
	positions positions
	wish      wishing
	noWish    bool
}

// instrumentNames are those flags, but for positions.
var instrumentNames = append([]string{"reference", "division", "total", "no-wish"}, wishNames...)

func (v *instrumentFlags) addTo(f *pflag.FlagSet) {
	v.reference = frequency{what: "reference pitch", least: 100, most: 1000}
	v.total.role = "pull of all strings"
	f.Var(&v.positions, "position", "speaking length and note, like 863.6mm:A1, and if wanted what fits there: the\nwidest string, like 1.4mm, or 0.9mm..1.4mm, and plain or wound; once for each\nposition")
	f.Var(&v.reference, "reference", "reference pitch of an instrument: the frequency of A4 (default 440Hz)")
	f.Var(&v.division, "division", "equal steps that its notes are counted in: so many of an octave, like 19, of\nanother interval, like 13of3/1 or 9of702c, or so large, like 88c (default 12)")
	f.Var(&v.total, "total", "pull of all strings together that an instrument's builder allows, like 900N")
	v.wish.addTo(f)
	f.BoolVar(&v.noWish, "no-wish", false, "wish for nothing any more")
}

// exclude refuses flags that are of a string.
func (v *instrumentFlags) exclude(cmd *cobra.Command, common ...string) error {
	return only(cmd, "is of a string, and an instrument is named", slices.Concat(common, instrumentNames, []string{"position", "stock"})...)
}

// none refuses them where a string is named.
func (v *instrumentFlags) none(cmd *cobra.Command, do string) error {
	for _, name := range append([]string{"position"}, instrumentNames...) {
		if cmd.Flags().Changed(name) {
			return &callError{fmt.Sprintf("--%s is of an instrument, and a string is named", name), do}
		}
	}
	return nil
}

// apply says of the instrument what the flags say.
func (v *instrumentFlags) apply(cmd *cobra.Command, x *stock.Instrument) error {
	given := cmd.Flags().Changed
	if given("reference") {
		x.A4 = v.reference.hz
	}
	if given("division") {
		x.Division = v.division.Division
	}
	if given("total") {
		x.Most = v.total.Value
	}
	if err := v.positions.apply(x); err != nil {
		return about("position", err)
	}
	if v.noWish && slices.ContainsFunc(wishNames, given) {
		return &callError{"--no-wish contradicts what is wished for", "leave one of the two out"}
	}
	if err := v.wish.check(); err != nil {
		return err
	}
	if x.Wish = v.wish.over(x.Wish); v.noWish {
		x.Wish = stock.Wish{}
	}
	return nil
}

// checkLike refuses a wish to be like an instrument that is not there.
func (v *instrumentFlags) checkLike(ctx context.Context, st *stock.Store) error {
	if v.wish.like == "" {
		return nil
	}
	_, err := st.Instrument(ctx, v.wish.like)
	return err
}

// A division is a flag that takes an equal division.
type division struct{ physics.Division }

func (v *division) Set(s string) (err error) {
	v.Division, err = physics.ParseDivision(s)
	return err
}
func (v *division) Type() string { return "steps" }

// positions is a flag that takes positions of an instrument: all of them, once for each,
// or changes to some, with their numbers before them.
type positions struct{ texts []string }

func (v *positions) Set(s string) error {
	v.texts = append(v.texts, s)
	return nil
}

func (v *positions) String() string { return strings.Join(v.texts, " ") }
func (v *positions) Type() string   { return "length:note" }

// apply puts them into the instrument.
func (v *positions) apply(x *stock.Instrument) error {
	if len(v.texts) == 0 {
		return nil
	}
	var all []stock.Position
	for _, s := range v.texts {
		number, rest, numbered := strings.Cut(s, "=")
		if !numbered {
			p := stock.Position{}
			if err := parsePosition(&p, s); err != nil {
				return err
			}
			if n := len(all); n < len(x.Positions) {
				p.Strung = x.Positions[n].Strung
			}
			all = append(all, p)
			continue
		}
		n, err := strconv.Atoi(number)
		if err != nil || n < 1 || n > len(x.Positions) {
			return &physics.InputError{What: "position", Text: s, Why: fmt.Sprintf("has no number from 1 to %d before the =", len(x.Positions)), Fix: "write a change to one like 2=850mm:A1, or 2=:A1 where the length stays"}
		}
		if err := parsePosition(&x.Positions[n-1], rest); err != nil {
			return err
		}
	}
	switch {
	case len(all) == 0:
	case len(all) < len(v.texts):
		return &physics.InputError{What: "position", Text: v.String(), Why: "is changed and given anew at once", Fix: "write a number and = before each, or before none"}
	default:
		x.Positions = all
	}
	return nil
}

// parsePosition says of a position what is written. What is left empty stays as it is,
// and so does what fits there, where nothing is said of that.
func parsePosition(p *stock.Position, s string) error {
	refuse := func(why string) error {
		return &physics.InputError{What: "position", Text: s, Why: why, Fix: "write it like 863.6mm:A1, or 863.6mm:A1:0.9mm..1.4mm:plain with what fits there"}
	}
	parts := strings.Split(s, ":")
	if len(parts) < 2 {
		return refuse("is not a speaking length and a note")
	}
	if p.Length.Value == 0 && (parts[0] == "" || parts[1] == "") {
		return refuse("is not a speaking length and a note")
	}
	var err error
	if parts[0] != "" {
		if p.Length, err = physics.SpeakingLength.Parse(parts[0]); err != nil {
			return err
		}
	}
	if parts[1] != "" {
		p.Said = parts[1]
	}
	for _, part := range parts[2:] {
		if part == "" {
			return refuse("has an empty part")
		}
		if part[0] > '9' {
			if p.Kind, err = traits.ParseKind(part); err != nil {
				return err
			}
			continue
		}
		least, most, isRange := strings.Cut(part, "..")
		if !isRange {
			least, most = "", part
		}
		p.Slot.Least = 0
		for _, d := range []struct {
			text string
			to   *physics.Length
		}{{least, &p.Slot.Least}, {most, &p.Slot.Most}} {
			if d.text == "" {
				continue
			}
			if *d.to, err = physics.Parse[physics.Length](d.text); err != nil {
				return err
			}
		}
	}
	return nil
}
