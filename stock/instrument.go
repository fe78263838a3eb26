package stock

import (
	"fmt"
	"math"
	"slices"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// An Instrument is what strings are put on.
type Instrument struct {
	Name      string            // its owner's own, unlike any other
	A4        physics.Frequency // reference pitch
	Division  physics.Division  // whose steps notes are counted in
	Most      physics.Force     // pull of all strings that its builder allows; 0 for not known
	Wish      Wish              // what its strings should be like
	Positions []Position        // in the order of the owner, numbered from 1
}

// A Position is a place for a string.
type Position struct {
	Length physics.Measured[physics.Length] // speaking
	Note   physics.Note                     // with cents, of A4 of the instrument
	// Said is the note as its owner wrote it, where it is not as Note is written: a
	// frequency, at an interval from a note, or so many steps from one. Note is made of it.
	Said   string
	Kind   traits.Kind // wanted there
	Slot   choose.Slot // strings that fit
	Strung string      // name of the string that is on it; empty for none
}

// Pitch is the frequency that the position is tuned to, for A4 at the reference
// pitch.
func (p Position) Pitch(a4 physics.Frequency) (physics.Frequency, error) { return p.Note.Frequency(a4) }

// Places are the positions as strings are chosen for them.
func (i Instrument) Places() ([]choose.Position, error) {
	var out []choose.Position
	for _, p := range i.Positions {
		f0, err := p.Pitch(i.A4)
		if err != nil {
			return nil, err
		}
		out = append(out, choose.Position{Note: p.Note.String(), F0: f0, Length: p.Length, Kind: p.Kind, Slot: p.Slot})
	}
	return out, nil
}

// Strung lists the names of the strings that are on it, by position.
func (i Instrument) Strung() []string {
	var out []string
	for _, p := range i.Positions {
		out = append(out, p.Strung)
	}
	return out
}

// mostPositions is more than any instrument has.
const mostPositions = 500

// closest is how near to a note one is that, in cents: what is nearer is rounding.
const closest = 1e-9

// tuned is the instrument with its notes made of what was said, where something was. The
// error is an *physics.InputError.
func (i Instrument) tuned() (Instrument, error) {
	i.Positions = slices.Clone(i.Positions)
	for n := range i.Positions {
		if err := i.tune(&i.Positions[n]); err != nil {
			return Instrument{}, fmt.Errorf("position %d: %w", n+1, err)
		}
	}
	return i, nil
}

// tune makes the note of a position of what was said.
func (i Instrument) tune(p *Position) error {
	if p.Said != "" {
		err := checkText("note", p.Said)
		if err == nil {
			p.Note, err = physics.Tuning{A4: i.A4, Division: i.Division}.ParseNote(p.Said)
		}
		if err != nil {
			return err
		}
	}
	if math.Abs(p.Note.Cents) < closest {
		p.Note.Cents = 0
	}
	if p.Note.String() == p.Said {
		p.Said = ""
	}
	return nil
}

// check returns an *physics.InputError for an instrument that cannot be kept.
func (i Instrument) check() error {
	if err := checkName("name of an instrument", i.Name); err != nil {
		return err
	}
	if !(i.A4 >= 100 && i.A4 <= 1000) {
		return &physics.InputError{What: "reference pitch", Text: i.A4.String(), Why: "is implausible", Fix: "expected between 100 Hz and 1000 Hz, like 440Hz"}
	}
	if !(i.Most >= 0 && i.Most <= 1e6) {
		return &physics.InputError{What: "pull of all strings", Text: i.Most.String(), Why: "is implausible", Fix: "write it like 800N"}
	}
	if len(i.Positions) == 0 || len(i.Positions) > mostPositions {
		return &physics.InputError{What: "instrument", Text: i.Name, Why: fmt.Sprintf("has %d positions", len(i.Positions)),
			Fix: fmt.Sprintf("give 1 to %d, each like 863.6mm:A1", mostPositions)}
	}
	for n, p := range i.Positions {
		if err := p.check(i.A4); err != nil {
			return fmt.Errorf("position %d: %w", n+1, err)
		}
	}
	places, err := i.Places()
	if err != nil {
		return err
	}
	return i.Wish.check(places, i.Name)
}

// Strings sound between these: those of a piano from 27.5 to 4186 Hz (from memory).
const (
	lowestPitch  = 8 * physics.Hertz
	highestPitch = 6000 * physics.Hertz
)

func (p Position) check(a4 physics.Frequency) error {
	if err := physics.SpeakingLength.Check(p.Length.Value); err != nil {
		return err
	}
	if !(p.Length.U >= 0 && p.Length.U < p.Length.Value) {
		return &physics.InputError{What: string(physics.SpeakingLength), Why: "has an impossible uncertainty", Fix: "write it like 863.6mm±0.5mm"}
	}
	for _, d := range []physics.Length{p.Slot.Least, p.Slot.Most} {
		if err := physics.Gauge.Check(d); d != 0 && err != nil {
			return err
		}
	}
	if p.Slot.Most != 0 && p.Slot.Most < p.Slot.Least {
		return &physics.InputError{What: "slot", Text: physics.Format(p.Slot.Least, 0, 6) + " to " + physics.Format(p.Slot.Most, 0, 6), Why: "fits no string", Fix: "write the smaller diameter first, like 0.9mm..1.4mm"}
	}
	if p.Kind < traits.EitherKind || p.Kind > traits.Wound {
		return &physics.InputError{What: "kind of string", Text: p.Kind.String(), Why: "is not known", Fix: "write plain or wound"}
	}
	if !(p.Note.Cents >= -100 && p.Note.Cents <= 100) {
		return &physics.InputError{What: "note", Text: p.Note.String(), Why: "has more than 100 cents", Fix: "write it like A1+12c"}
	}
	hz, err := p.Pitch(a4)
	if err == nil && !(hz >= lowestPitch && hz <= highestPitch) {
		err = &physics.InputError{What: "note", Text: p.Note.String(), Why: fmt.Sprintf("of %s is no string's", physics.Format(hz, 0, 4)), Fix: "C4 is middle C: check the octave"}
	}
	return err
}
