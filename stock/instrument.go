package stock

import (
	"fmt"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
)

// An Instrument is what strings are put on.
type Instrument struct {
	Name      string            // its owner's own, unlike any other
	A4        physics.Frequency // reference pitch
	Most      physics.Force     // pull of all strings that its builder allows; 0 for not known
	Positions []Position        // in the order of the owner, numbered from 1
}

// A Position is a place for a string.
type Position struct {
	Length physics.Measured[physics.Length] // speaking
	Note   physics.Note                     // with cents, of A4 of the instrument
	Slot   physics.Length                   // widest string that fits; 0 for not known
	Strung string                           // name of the string that is on it; empty for none
}

// Pitch is the frequency that the position is tuned to, for A4 at the reference
// pitch.
func (p Position) Pitch(a4 physics.Frequency) (physics.Frequency, error) { return p.Note.Frequency(a4) }

// Places are the positions as strings are chosen for them, of any kind.
func (i Instrument) Places() ([]choose.Position, error) {
	var out []choose.Position
	for _, p := range i.Positions {
		f0, err := p.Pitch(i.A4)
		if err != nil {
			return nil, err
		}
		out = append(out, choose.Position{Note: p.Note.String(), F0: f0, Length: p.Length, Slot: choose.Slot{Most: p.Slot}})
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
	return nil
}

func (p Position) check(a4 physics.Frequency) error {
	if err := physics.SpeakingLength.Check(p.Length.Value); err != nil {
		return err
	}
	if !(p.Length.U >= 0 && p.Length.U < p.Length.Value) {
		return &physics.InputError{What: string(physics.SpeakingLength), Why: "has an impossible uncertainty", Fix: "write it like 863.6mm±0.5mm"}
	}
	if p.Slot != 0 {
		if err := physics.Gauge.Check(p.Slot); err != nil {
			return err
		}
	}
	if !(p.Note.Cents >= -100 && p.Note.Cents <= 100) {
		return &physics.InputError{What: "note", Text: p.Note.String(), Why: "has more than 100 cents", Fix: "write it like A1+12c"}
	}
	_, err := p.Pitch(a4)
	return err
}
