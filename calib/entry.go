package calib

import (
	"fmt"
	"math"
	"time"

	"pluckweigh/physics"
)

// A Kind is what was calibrated.
type Kind string

const (
	ClockKind  Kind = "clock"  // a recorder's clock; Value in ppm
	RigKind    Kind = "rig"    // what weights hang on; Value is its friction, N
	LengthKind Kind = "length" // a string's speaking length, m
)

// unit is the unit of Value and U.
func (k Kind) unit() string {
	switch k {
	case ClockKind:
		return "ppm"
	case RigKind:
		return "N"
	case LengthKind:
		return "m"
	}
	return ""
}

// An Entry is one calibration as it is kept.
type Entry struct {
	ID   string `json:"id"`
	Kind Kind   `json:"kind"`
	// Name is the recorder's, the rig's or the string's.
	Name string `json:"name"`
	// Rate is the sample rate that a clock was calibrated at, Hz; 0 for others.
	Rate  float64 `json:"sample_rate_hz,omitempty"`
	Value float64 `json:"value"`
	U     float64 `json:"u_value"` // standard uncertainty of Value
	Unit  string  `json:"unit"`
	// Weights is the relative standard uncertainty of a rig's weights.
	Weights float64   `json:"u_weights,omitempty"`
	Made    time.Time `json:"made"`
	Expires time.Time `json:"expires"`
	How     string    `json:"how"` // how it was found, for a person
}

// Lasts is how long a calibration is applied: a crystal ages by some ppm in its
// first years, a pulley wears, a saddle is moved. A judgement; what a clock may do
// within that time is counted beside it (see Entry.Clock).
const Lasts = 365 * 24 * time.Hour

// ageing is the standard uncertainty of a clock that was calibrated within Lasts
// and in another room, ppm: data sheets of plain crystals have some ±5 ppm a year,
// and some ppm between 15 and 30 °C (from memory).
const ageing = 3.0

// ClockEntry keeps a recorder's clock at a sample rate.
func ClockEntry(recorder string, rate float64, c Clock, made time.Time) Entry {
	return entry(Entry{Kind: ClockKind, Name: recorder, Rate: rate, Value: c.PPM, U: c.U, How: c.Source}, made)
}

// LengthEntry keeps a string's speaking length.
func LengthEntry(name string, l physics.Measured[physics.Length], how string, made time.Time) Entry {
	return entry(Entry{Kind: LengthKind, Name: name, Value: float64(l.Value), U: float64(l.U), How: how}, made)
}

func entry(e Entry, made time.Time) Entry {
	e.Unit = e.Kind.unit()
	e.Made = made.UTC().Truncate(time.Second)
	e.Expires = e.Made.Add(Lasts)
	return e
}

// Expired tells whether the calibration is too old to be applied.
func (e Entry) Expired(now time.Time) bool { return !now.Before(e.Expires) }

// same tells whether one entry takes the other's place.
func (e Entry) same(o Entry) bool { return e.Kind == o.Kind && e.Name == o.Name && e.Rate == o.Rate }

// Measured is the clock that a ClockKind entry keeps, as it was on the day.
func (e Entry) Measured() Clock { return Clock{PPM: e.Value, U: e.U, Source: e.How} }

// Clock is the clock that a ClockKind entry keeps, as it is applied: what it may
// have aged is part of its uncertainty.
func (e Entry) Clock() Clock {
	return Clock{PPM: e.Value, U: math.Hypot(e.U, ageing),
		Source: calibrated(e.Name, e.Made)}
}

// calibrated says in a budget where something comes from.
func calibrated(name string, made time.Time) string {
	return fmt.Sprintf("%s, calibrated on %s", name, Day(made))
}

// Length is the speaking length that a LengthKind entry keeps: it contains what the
// ends do, so that they count as pinned.
func (e Entry) Length() physics.Measured[physics.Length] {
	l := physics.Stated(physics.Length(e.Value), physics.Length(e.U))
	l.From = calibrated(e.Name, e.Made)
	return l
}

// Day is a date as people write it where a time of day does not matter.
func Day(t time.Time) string { return t.Format("2 Jan 2006") }

// check says what is wrong with an entry that is to be kept or was read.
func (e Entry) check() error {
	bad := func(why string) error {
		return &physics.InputError{What: "calibration", Text: e.Name, Why: why}
	}
	finite := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	switch {
	case e.Name == "":
		return &physics.InputError{What: "calibration", Why: "has no name", Fix: "name what it is of"}
	case e.Kind.unit() == "" || e.Unit != e.Kind.unit():
		return bad(fmt.Sprintf("is of the unknown kind %q in %q", e.Kind, e.Unit))
	case !finite(e.Value) || !finite(e.U) || e.U < 0 || !(e.Weights >= 0 && e.Weights < 1):
		return bad("has numbers that cannot be")
	case e.Made.IsZero() || !e.Expires.After(e.Made):
		return bad("has dates that cannot be")
	case e.Kind == ClockKind && !(e.Rate > 0 && finite(e.Rate)):
		return bad("has no sample rate")
	case e.Kind == ClockKind:
		return Clock{PPM: e.Value, U: e.U}.Check()
	case e.Kind == LengthKind:
		return physics.SpeakingLength.Check(physics.Length(e.Value))
	}
	return nil
}
