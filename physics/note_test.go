package physics

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestNotes(t *testing.T) {
	// Equal temperament at A4 = 440 Hz, to the usual four decimals (from memory).
	for s, hz := range map[string]float64{
		"A4": 440, "A1": 55, "C4": 261.6256, "E1": 41.2034, "B0": 30.8677, "F#0": 23.1247, "G2": 97.9989,
		"E2": 82.4069, "E4": 329.6276, "C-1": 8.1758, "A-1": 13.75, "B10": 31608.5313,
	} {
		n := must(ParseNote(s))
		f := must(n.Frequency(ConcertPitch))
		if math.Abs(float64(f)-hz) > 0.5e-4 {
			t.Errorf("%s is %.4f Hz, want %.4f", s, f, hz)
		}
		if n.String() != s {
			t.Errorf("%s is printed as %s", s, n)
		}
		back := must(NearestNote(f, ConcertPitch))
		if back.Semitones != n.Semitones || back != n {
			t.Errorf("%s comes back as %v", s, back)
		}
	}
	for s, want := range map[string]string{
		"Bb0": "A#0", "B♭0": "A#0", "F♯2": "F#2", "Cb4": "B3", "B#3": "C4", "E#1": "F1", "A1+12c": "A1+12c",
		"A1-3.5c": "A1-3.5c", " A1 ": "A1", "E-1": "E-1", "E-1-5c": "E-1-5c", "A1+0c": "A1", "A1-0c": "A1",
	} {
		if n := must(ParseNote(s)); n.String() != want {
			t.Errorf("%s is read as %s, want %s", s, n, want)
		}
	}
	flat := must(must(ParseNote("A1-3.5c")).Frequency(ConcertPitch))
	if got := CentsBetween(55, flat); math.Abs(got+3.5) > 1e-9 {
		t.Errorf("A1-3.5c lies %v cents from A1", got)
	}
	n := must(NearestNote(442, 442))
	if n.Name() != "A4" || n.Cents != 0 {
		t.Errorf("442 Hz at a reference of 442 Hz is %v", n)
	}
	if n := must(NearestNote(56, ConcertPitch)); n.Name() != "A1" || math.Abs(n.Cents-31.19) > 0.01 {
		t.Errorf("56 Hz is %v, want A1+31.19c", n)
	}
}

func TestNotesRefused(t *testing.T) {
	for s, says := range map[string]string{
		"": "is empty", "a1": "small letter", "H1": "has an H", "h1": "has an H", "X1": "letter from A to G", "é1": "letter from A to G",
		"A": "no octave", "A#": "no octave", "A99": "octave", "A-2": "octave", "Cb-1": "outside", "B#10": "outside",
		"A1+12": "no cents", "A1+c": "no cents", "A1+101c": "no cents", "A1c": "no cents", "A1+1e999c": "no cents",
		"A1+nanc": "no cents", "A1 3": "no cents", "A##1": "octave", "55Hz": "letter from A to G", " ": "is empty", "A1++1c": "no cents",
		"A99999999999999999999": "octave", "\xff": "letter from A to G",
	} {
		n, err := ParseNote(s)
		var e *InputError
		if !errors.As(err, &e) || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, %v; want %q", s, n, err, says)
		}
	}
	nan, inf := Frequency(math.NaN()), Frequency(math.Inf(1))
	for _, f := range []Frequency{0, -1, nan, inf, 1, 1e6} {
		if n, err := NearestNote(f, ConcertPitch); err == nil {
			t.Errorf("%v Hz is %v", float64(f), n)
		}
	}
	for _, a4 := range []Frequency{0, -1, nan, inf} {
		if n, err := NearestNote(440, a4); err == nil {
			t.Errorf("reference %v: %v", float64(a4), n)
		}
		if f, err := (Note{}).Frequency(a4); err == nil || f != 0 {
			t.Errorf("reference %v: %v, %v", float64(a4), f, err)
		}
	}
}
