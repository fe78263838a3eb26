package physics

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ConcertPitch is the frequency of A4 by ISO 16:1975.
const ConcertPitch Frequency = 440

// A Note is a pitch of twelve-tone equal temperament, or one so many cents from
// it. Octaves are counted by the acoustical convention: C4 is middle C, A4 the
// note of ISO 16.
type Note struct {
	Semitones int     // above A4
	Cents     float64 // above that semitone, from −100 to 100
}

// Notes reach from C-1 to B10 (8 Hz to 32 kHz at concert pitch).
const (
	lowestNote  = -69
	highestNote = 74
)

var noteNames = [12]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}

// String names the note with a sharp where it has one: "A1", "F#2", "A1+12c".
func (n Note) String() string {
	fromC0 := n.Semitones + 57
	octave := fromC0 / 12
	if fromC0 < 0 {
		octave = (fromC0 - 11) / 12
	}
	s := noteNames[fromC0-12*octave] + strconv.Itoa(octave)
	if n.Cents == 0 {
		return s
	}
	if n.Cents > 0 {
		s += "+"
	}
	return s + strconv.FormatFloat(n.Cents, 'f', -1, 64) + "c"
}

// Name is the note without its cents.
func (n Note) Name() string { return Note{Semitones: n.Semitones}.String() }

// Frequency is the note's, for A4 at the reference pitch.
func (n Note) Frequency(a4 Frequency) (Frequency, error) {
	if err := checkPositive("reference pitch", float64(a4)); err != nil {
		return 0, err
	}
	f := a4 * Frequency(math.Exp2((float64(n.Semitones)+n.Cents/100)/12))
	return f, checkPositive("frequency", float64(f))
}

// NearestNote is the note nearest to a frequency, with what the frequency lies
// above it in Cents, for A4 at the reference pitch.
func NearestNote(f, a4 Frequency) (Note, error) {
	if err := checkPositive("frequency", float64(f)); err != nil {
		return Note{}, err
	}
	if err := checkPositive("reference pitch", float64(a4)); err != nil {
		return Note{}, err
	}
	cents := CentsBetween(a4, f)
	semitones := math.Round(cents / 100)
	if semitones < lowestNote || semitones > highestNote {
		return Note{}, &InputError{What: "frequency", Text: f.String(), Why: "is outside the notes from C-1 to B10"}
	}
	n := Note{int(semitones), cents - 100*semitones}
	if math.Abs(n.Cents) < rounding {
		n.Cents = 0
	}
	return n, nil
}

// rounding is what a note is off by in cents for want of digits.
const rounding = 1e-9

// CentsBetween is how far the frequency f lies above from, both positive: 1200
// to the octave.
func CentsBetween(from, f Frequency) float64 {
	return 1200 * (math.Log2(float64(f)) - math.Log2(float64(from)))
}

// ParseNote reads a note: a capital letter, if wanted # or b, the octave, and if
// wanted cents, as in "A1", "F#2", "Bb0", "E-1" or "A1+12c". Small letters are
// refused, because a1 is another note to those who write octaves after
// Helmholtz. The error is an *InputError.
func ParseNote(s string) (Note, error) {
	refuse := func(why, fix string) (Note, error) {
		return Note{}, &InputError{"note", s, why, fix}
	}
	const example = "write it like A1, F#2 or Bb0; C4 is middle C"
	text := strings.TrimSpace(s)
	if text == "" {
		return refuse("is empty", example)
	}
	letter := strings.IndexByte("C D EF G A B", text[0])
	if letter < 0 {
		if 'a' <= text[0] && text[0] <= 'g' {
			return refuse("starts with a small letter", "write "+strings.ToUpper(text[:1])+text[1:]+" if you count octaves with A4 at 440 Hz")
		}
		if text[0] == 'H' || text[0] == 'h' {
			return refuse("has an H, which is not used here", "write B for H and Bb for the note below it")
		}
		return refuse("does not start with a letter from A to G", example)
	}
	semitone, rest := letter, text[1:]
	switch r, size := utf8.DecodeRuneInString(rest); r {
	case '#', '♯':
		semitone, rest = semitone+1, rest[size:]
	case 'b', '♭':
		semitone, rest = semitone-1, rest[size:]
	}
	octave, rest, ok := cutOctave(rest)
	if !ok {
		return refuse("has no octave, or one that is not from -1 to 10", example)
	}
	n := Note{Semitones: semitone + 12*octave - 57}
	if n.Semitones < lowestNote || n.Semitones > highestNote {
		return refuse("is outside the notes from C-1 to B10", "")
	}
	if rest == "" {
		return n, nil
	}
	cents, ok := parseCents(rest)
	if !ok {
		return refuse("ends in what is no cents", "write cents from -100 to 100 like A1+12c or A1-3.5c")
	}
	n.Cents = cents
	return n, nil
}

// cutOctave cuts an octave from -1 to 10 off the front of s.
func cutOctave(s string) (octave int, rest string, ok bool) {
	end := 0
	if strings.HasPrefix(s, "-") {
		end = 1
	}
	for end < len(s) && '0' <= s[end] && s[end] <= '9' {
		end++
	}
	octave, err := strconv.Atoi(s[:end])
	return octave, s[end:], err == nil && octave >= -1 && octave <= 10
}

// parseCents reads "+12c" or "-3.5c".
func parseCents(s string) (float64, bool) {
	s, ok := strings.CutSuffix(s, "c")
	if !ok || s == "" || (s[0] != '+' && s[0] != '-') {
		return 0, false
	}
	number, rest := cutNumber(s[1:])
	if rest != "" {
		return 0, false
	}
	cents, err := strconv.ParseFloat(number, 64)
	if err != nil || cents > 100 {
		return 0, false
	}
	if s[0] == '-' && cents != 0 {
		cents = -cents
	}
	return cents, true
}
