package main

import (
	"context"

	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

// A stocked is the strings that the stock has, to choose from or to be recognised by.
type stocked struct {
	strings []traits.String
	odd     map[int]bool // those whose measurements disagree
	unknown int          // how many there are of which too little is known
}

// read takes in what the stock has of which enough is known.
func (s *stocked) read(ctx context.Context, st *stock.Store, enough func(*traits.String) bool) error {
	all, err := st.Known(ctx)
	if err != nil {
		return err
	}
	s.odd, s.strings = map[int]bool{}, make([]traits.String, 0, len(all))
	for i := range all {
		x := &all[i]
		if !enough(&x.String) {
			s.unknown++
			continue
		}
		if x.Disagree() {
			s.odd[len(s.strings)] = true
		}
		s.strings = append(s.strings, x.String)
	}
	return nil
}

// lack is the error of a stock without strings; lacking that of one which has others only.
func (s *stocked) lack(lacking *callError) error {
	switch {
	case len(s.strings) > 0:
		return nil
	case s.unknown > 0:
		return lacking
	}
	return &callError{"there are no strings in stock", "see `pluckweigh stock add --help`"}
}

// index is which string in stock has a name, -1 for none.
func (s *stocked) index(name string) int {
	for i := range s.strings {
		if s.strings[i].Name == name {
			return i
		}
	}
	return -1
}
