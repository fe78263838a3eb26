package main

import (
	"context"
	"fmt"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// A strungUp is an instrument with the strings that are on it, or are to be.
type strungUp struct {
	stock.Instrument
	places  []choose.Position
	strings []traits.String // by position
	odd     []bool          // of the strings, that measurements disagree
}

// newStrungUp reads an instrument and the strings of those names, or if there are none
// those that are on it.
func newStrungUp(ctx context.Context, st *stock.Store, instrument string, names []string, held physics.Ends) (*strungUp, error) {
	x, err := st.Instrument(ctx, instrument)
	if err != nil {
		return nil, err
	}
	up := &strungUp{Instrument: x}
	if up.places, err = placesOf(x, held); err != nil {
		return nil, err
	}
	if len(names) == 0 {
		names = x.Strung()
	}
	if len(names) != len(x.Positions) {
		return nil, &callError{fmt.Sprintf("%d strings are named, and %q has %d positions", len(names), instrument, len(x.Positions)),
			"name one for each position, in their order"}
	}
	if n := slices.Index(names, ""); n >= 0 {
		return nil, &callError{fmt.Sprintf("it is not known which string is on position %d of %q", n+1, instrument),
			"say it with `pluckweigh stock string`"}
	}
	for _, name := range names {
		s, err := st.String(ctx, name)
		if err != nil {
			return nil, err
		}
		if s.UnitWeight.Value == 0 {
			return nil, &callError{fmt.Sprintf("the unit weight of %q is not known", name), "find it with `pluckweigh weigh`, and keep it with --keep"}
		}
		up.strings = append(up.strings, s.String)
		up.odd = append(up.odd, s.Disagree())
	}
	return up, nil
}

// placesOf are an instrument's positions, of which it is known how strings are held.
func placesOf(x stock.Instrument, held physics.Ends) ([]choose.Position, error) {
	places, err := x.Places()
	for i := range places {
		places[i].Ends = held
	}
	return places, err
}

// placeOf names a position of an instrument by its number and its note.
func placeOf(x stock.Instrument, position int) string {
	p := x.Positions[position]
	note := p.Said
	if note == "" && p.Note.Cents != 0 {
		note = fmt.Sprintf("%s%+.3gc", p.Note.Name(), p.Note.Cents)
	} else if note == "" {
		note = p.Note.Name()
	}
	return fmt.Sprintf("%d %s", position+1, note)
}

// disagree is the doubt on a string whose measurements disagree.
var disagree = choose.Doubt{Code: "measurements-disagree", Say: "measurements of it disagree: see `pluckweigh stock show`"}
