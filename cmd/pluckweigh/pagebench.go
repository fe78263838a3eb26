package main

import (
	"context"

	"pluckweigh/physics"
	"pluckweigh/stock"
)

// What a page shows of the stock: rows as stock list and stock show have them, and in a
// form that can be typed, so that the page can take them for what is heard.

type pageBench struct {
	Strings     []pageString     `json:"strings"`
	More        int              `json:"more"` // strings that are not listed
	Instruments []pageInstrument `json:"instruments"`
	Surveys     []pageSession    `json:"surveys"`  // of instruments, the latest first
	Sessions    []pageSession    `json:"sessions"` // of strings that were watched
}

type pageSession struct {
	Session    string `json:"session"`
	Instrument string `json:"instrument,omitempty"`
	Count      string `json:"count"`
	Last       string `json:"last"`
}

type pageString struct {
	Name     string `json:"string"`
	Kind     string `json:"kind"`
	Weight   string `json:"unit_weight"`
	Outside  string `json:"diameter"`
	Left     string `json:"left"`
	Disagree bool   `json:"disagree"`
	Typed    string `json:"typed"` // its unit weight, empty where that is not known
}

type pageInstrument struct {
	Name      string         `json:"instrument"`
	A4        string         `json:"a4"`
	Positions []pagePosition `json:"positions"`
}

type pagePosition struct {
	Number int    `json:"position"`
	Length string `json:"length"`
	Note   string `json:"note"`
	Fits   string `json:"fits"`
	String string `json:"string"` // that is on it, empty where that is not known

	Typed  string `json:"typed"` // the length
	Near   string `json:"near"`
	Weight string `json:"unit_weight"` // of the string that is on it, as it is typed
}

// mostOnPage is how many strings a page is sent.
const mostOnPage = 2000

// bench lists what is in stock.
func (v *serving) bench(ctx context.Context) (any, error) {
	b := pageBench{Strings: []pageString{}, Instruments: []pageInstrument{}, Surveys: []pageSession{}, Sessions: []pageSession{}}
	err := v.file.read(ctx, func(st *stock.Store) error {
		weights := map[string]string{}
		for x, err := range st.All(ctx) {
			if err != nil {
				return err
			}
			row := newPageString(x)
			weights[x.Name] = row.Typed
			if len(b.Strings) < mostOnPage {
				b.Strings = append(b.Strings, row)
			} else {
				b.More++
			}
		}
		all, err := st.Instruments(ctx)
		if err != nil {
			return err
		}
		for _, x := range all {
			b.Instruments = append(b.Instruments, newPageInstrument(x, weights))
		}
		surveys, err := st.Surveys(ctx)
		if err != nil {
			return err
		}
		for _, x := range surveys {
			b.Surveys = append(b.Surveys, pageSession{x.Name, x.Instrument, counted(x.Plucks, "pluck"), x.Last.Format(minute)})
		}
		sessions, err := st.Sessions(ctx)
		if err != nil {
			return err
		}
		for _, x := range sessions {
			b.Sessions = append(b.Sessions, pageSession{x.Name, "", counted(x.Pitches, "reading"), x.Last.Format(minute)})
		}
		return nil
	})
	return b, err
}

func newPageString(x stock.String) pageString {
	row := pageString{Name: x.Name, Kind: x.Kind.String(), Weight: weightOf(x), Outside: orUnknown(x.Best(stock.Outside)),
		Left: leftOf(x), Disagree: x.Disagree()}
	if x.UnitWeight.Value > 0 {
		w := x.UnitWeight.As(physics.GramPerMetre)
		w.Assumed = false // it was worked out, and is no default of what is typed
		row.Typed = w.String()
	}
	return row
}

func newPageInstrument(x stock.Instrument, weights map[string]string) pageInstrument {
	j := pageInstrument{Name: x.Name, A4: physics.Format(x.A4, 0, 6), Positions: []pagePosition{}}
	for i, p := range x.Positions {
		row := pagePosition{Number: i + 1, Length: p.Length.Expanded(physics.Coverage), Note: p.Note.String(), Fits: fitting(p), String: p.Strung,
			Typed: p.Length.As(physics.Millimetre).String(), Weight: weights[p.Strung]}
		if p.Said != "" {
			row.Note = p.Said
		}
		if hz, err := p.Pitch(x.A4); err == nil {
			row.Near = hz.String()
		}
		j.Positions = append(j.Positions, row)
	}
	return j
}
