package stock

import "context"

// A Place is a position of an instrument.
type Place struct {
	Instrument string
	Position   int // from 1 on
}

// On lists the places that a string is on, by instrument.
func (s *Store) On(ctx context.Context, name string) ([]Place, error) {
	all, err := s.strungWith(ctx, s.db, name)
	var out []Place
	for _, x := range all {
		out = append(out, placesOf(x, name)...)
	}
	return out, err
}

// strungWith lists the instruments that a string is on.
func (s *Store) strungWith(ctx context.Context, q querier, name string) ([]Instrument, error) {
	return s.instruments(ctx, q, "WHERE i.id IN (SELECT p.instrument FROM positions p JOIN strings s ON s.id = p.string WHERE s.name = ?)", name)
}

// placesOf lists the places of an instrument that a string is on.
func placesOf(x Instrument, name string) (out []Place) {
	for n, p := range x.Positions {
		if p.Strung == name {
			out = append(out, Place{x.Name, n + 1})
		}
	}
	return out
}
