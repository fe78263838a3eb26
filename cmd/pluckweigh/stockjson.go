package main

import (
	"time"

	"pluckweigh/stock"
	"pluckweigh/stock/traits"
)

type stringJSON struct {
	Name         string            `json:"string"`
	Kind         *string           `json:"kind"`
	Material     *string           `json:"material"`
	Label        *string           `json:"label"`
	Left         *int              `json:"left"`
	Weight       *bestJSON         `json:"unit_weight_kg_per_m"`
	Outside      *bestJSON         `json:"outside_m"`
	Stiffness    *bestJSON         `json:"core_bending_n_m2"`
	On           []placeJSON       `json:"on,omitempty"` // of show alone
	Measurements []measurementJSON `json:"measurements"`
}

type placeJSON struct {
	Instrument string `json:"instrument"`
	Position   int    `json:"position"`
}

// bestJSON is the mean of measurements.
type bestJSON struct {
	Value    *float64 `json:"value"`
	U        *float64 `json:"u"`
	DoF      *float64 `json:"degrees_of_freedom"` // null for unlimited
	N        int      `json:"measurements"`
	P        *float64 `json:"p"` // that measurements which agree scatter as much
	Disagree bool     `json:"disagree"`
}

type measurementJSON struct {
	ID       int64          `json:"id"`
	Property stock.Property `json:"property"`
	Value    *float64       `json:"value"`
	U        *float64       `json:"u"`
	DoF      *float64       `json:"degrees_of_freedom"` // null for unlimited
	Assumed  bool           `json:"assumed"`
	Route    string         `json:"route"`
	Made     *time.Time     `json:"made"`
	Reading  *string        `json:"reading"`
	SetAside *string        `json:"set_aside"`
}

type instrumentJSON struct {
	Name      string         `json:"instrument"`
	A4        *float64       `json:"a4_hz"`
	Division  *string        `json:"division"` // null for the octave in twelve
	Most      *float64       `json:"most_total_n"`
	Wish      *string        `json:"wish"` // as lists have it
	Positions []positionJSON `json:"positions"`
}

type positionJSON struct {
	Length  *float64 `json:"length_m"`
	ULength *float64 `json:"u_length_m"`
	Note    string   `json:"note"`
	Said    *string  `json:"note_said"` // as its owner wrote it, where that is another way
	Hz      *float64 `json:"note_hz"`
	Kind    *string  `json:"kind"`         // that fits
	Least   *float64 `json:"slot_least_m"` // diameters that fit
	Slot    *float64 `json:"slot_m"`
	String  *string  `json:"string"` // that is on it
}

// orNull is v, or null where it is zero, which stands for not known.
func orNull[T comparable](v T) *T {
	var zero T
	if v == zero {
		return nil
	}
	return &v
}

func newBestJSON(m stock.Measurement, a stock.Agreement) *bestJSON {
	if a.N == 0 {
		return nil
	}
	return &bestJSON{finite(m.Value), finite(m.U), limited(m.DoF), a.N, finite(a.P), a.Disagree()}
}

func newStringJSON(x stock.String) stringJSON {
	j := stringJSON{
		Name: x.Name, Kind: orNull(x.Kind.String()), Material: orNull(x.Material), Label: orNull(x.Label),
		Weight: newBestJSON(x.Best(stock.UnitWeight)), Outside: newBestJSON(x.Best(stock.Outside)),
		Stiffness: newBestJSON(x.Best(stock.Stiffness)), Measurements: []measurementJSON{},
	}
	if x.Left != traits.Uncounted {
		j.Left = &x.Left
	}
	for _, m := range x.Measurements {
		j.Measurements = append(j.Measurements, measurementJSON{m.ID, m.Property, finite(m.Value), finite(m.U), limited(m.DoF),
			m.Assumed, m.Route, orNull(m.Made), orNull(m.Reading), orNull(m.SetAside)})
	}
	return j
}

func placesJSON(on []stock.Place) (out []placeJSON) {
	for _, p := range on {
		out = append(out, placeJSON(p))
	}
	return out
}

func newInstrumentJSON(x stock.Instrument) instrumentJSON {
	j := instrumentJSON{Name: x.Name, A4: finite(float64(x.A4)), Division: orNull(x.Division.String()), Most: orNull(float64(x.Most)), Wish: orNull(x.Wish.String()), Positions: []positionJSON{}}
	for _, p := range x.Positions {
		q := positionJSON{Length: finite(float64(p.Length.Value)), ULength: finite(float64(p.Length.U)), Note: p.Note.String(), Said: orNull(p.Said),
			Kind: orNull(p.Kind.String()), Least: orNull(float64(p.Slot.Least)), Slot: orNull(float64(p.Slot.Most)), String: orNull(p.Strung)}
		if hz, err := p.Pitch(x.A4); err == nil {
			q.Hz = finite(float64(hz))
		}
		j.Positions = append(j.Positions, q)
	}
	return j
}
