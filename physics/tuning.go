package physics

import (
	"errors"
	"math"
	"strconv"
	"strings"
)

// A Tuning is what notes are named in.
type Tuning struct {
	A4       Frequency // reference pitch
	Division Division  // whose steps notes may be counted in
}

// A Division is an interval taken apart into equal steps. The zero value is the octave
// in twelve.
type Division struct {
	parts int
	of    pitchRatio
}

// A pitchRatio is a ratio of two frequencies, or so many cents: one of both.
type pitchRatio struct {
	over, under int     // 3 and 2 of a fifth; 0 where it is in cents
	inCents     float64 // 0 where it is a ratio
}

// Most that an interval and a division may have: what is beyond is mistyped.
const (
	mostRatio      = 1_000_000
	mostRatioCents = 12000 // cents, ten octaves
	mostParts      = 10000
	finestStep     = 0.1 // cents
	mostStepsAway  = 100_000
)

// parsePitchRatio reads a ratio like "3/2" or "3:2", or cents like "702c". The error is an
// *InputError.
func parsePitchRatio(s string) (pitchRatio, error) {
	refuse := func(why string) (pitchRatio, error) {
		return pitchRatio{}, &InputError{"interval", s, why, "write a ratio like 3/2, or cents like 702c"}
	}
	if cents, ok := strings.CutSuffix(s, "c"); ok {
		number, rest := cutNumber(cents)
		v, err := strconv.ParseFloat(number, 64)
		if err != nil || rest != "" {
			return refuse("is neither a ratio nor cents")
		}
		if !(v > 0 && v <= mostRatioCents) {
			return refuse("is not from above 0 to 12000 cents")
		}
		return pitchRatio{inCents: v}, nil
	}
	over, under, ok := strings.Cut(strings.Replace(s, ":", "/", 1), "/")
	p, err1 := strconv.Atoi(over)
	q, err2 := strconv.Atoi(under)
	if !ok || err1 != nil || err2 != nil {
		return refuse("is neither a ratio nor cents")
	}
	if p < 1 || q < 1 || p > mostRatio || q > mostRatio || math.Abs((pitchRatio{over: p, under: q}).cents()) > mostRatioCents {
		return refuse("is no ratio of two notes")
	}
	return pitchRatio{over: p, under: q}, nil
}

// cents is its size, below zero for one that goes down.
func (i pitchRatio) cents() float64 {
	if i.over == 0 {
		return i.inCents
	}
	return CentsBetween(Frequency(i.under), Frequency(i.over))
}

// String writes it so that parsePitchRatio reads it back to the same.
func (i pitchRatio) String() string {
	if i.over == 0 {
		return strconv.FormatFloat(i.inCents, 'f', -1, 64) + "c"
	}
	return strconv.Itoa(i.over) + "/" + strconv.Itoa(i.under)
}

// octave is what is divided where nothing else is said.
var octave = pitchRatio{over: 2, under: 1}

// ParseDivision reads how many equal steps an octave has, like "19", another interval,
// like "13of3/1" or "9of702c", or how large a step is, like "88c". The error is an
// *InputError.
func ParseDivision(s string) (Division, error) {
	refuse := func(why string) (Division, error) {
		return Division{}, &InputError{"division", s, why, "write the steps of an octave like 19, of another interval like 13of3/1 or 9of702c, or the size of one like 88c"}
	}
	parts, of, other := strings.Cut(s, "of")
	d := Division{1, octave}
	switch {
	case !other && strings.HasSuffix(s, "c"):
		of = s
	case !other:
		of = octave.String()
		fallthrough
	default:
		var err error
		if d.parts, err = strconv.Atoi(parts); err != nil {
			return refuse("is no division")
		}
	}
	var err error
	if d.of, err = parsePitchRatio(of); err != nil {
		return refuse("divides no interval")
	}
	if d.parts < 1 || d.parts > mostParts || d.Step() < finestStep {
		return refuse("has no steps that could be told apart")
	}
	return d, nil
}

// Step is the size of one, in cents.
func (d Division) Step() float64 {
	if d.parts == 0 {
		return 100
	}
	return d.of.cents() / float64(d.parts)
}

// String writes it so that ParseDivision reads it back to the same; the zero value is
// empty.
func (d Division) String() string {
	switch {
	case d.parts == 0:
		return ""
	case d.of == octave:
		return strconv.Itoa(d.parts)
	case d.parts == 1 && d.of.over == 0:
		return d.of.String()
	}
	return strconv.Itoa(d.parts) + "of" + d.of.String()
}

// ParseNote reads a note as the function does, or one at an interval from it, as
// "A1*3/2" or "A1*-498c", or so many steps of the division away, as "A4-41steps", or a frequency. The
// error is an *InputError.
func (t Tuning) ParseNote(s string) (Note, error) {
	text := strings.TrimSpace(s)
	refuse := func(why, fix string) (Note, error) { return Note{}, &InputError{"note", s, why, fix} }
	if text != "" && '0' <= text[0] && text[0] <= '9' {
		f, err := Parse[Frequency](text)
		if err != nil {
			return Note{}, err
		}
		return NearestNote(f, t.A4)
	}
	if name, by, ok := strings.Cut(text, "*"); ok {
		n, err := ParseNote(name)
		if err != nil {
			return Note{}, err
		}
		down := strings.HasPrefix(by, "-") && strings.HasSuffix(by, "c") // a ratio goes down by itself
		if down {
			by = by[1:]
		}
		i, err := parsePitchRatio(by)
		if err != nil {
			return Note{}, err
		}
		if down {
			return n.up(s, -i.cents())
		}
		return n.up(s, i.cents())
	}
	counted, ok := strings.CutSuffix(text, "steps")
	if !ok {
		counted, ok = strings.CutSuffix(text, "step")
	}
	if !ok {
		return ParseNote(s)
	}
	sign := strings.LastIndexAny(counted, "+-")
	if sign < 0 {
		return refuse("does not say from where steps are counted", "write it like A4-41steps")
	}
	steps, err := strconv.Atoi(counted[sign:])
	if err != nil || steps < -mostStepsAway || steps > mostStepsAway {
		return refuse("has no whole number of steps", "write it like A4-41steps")
	}
	n, err := ParseNote(counted[:sign])
	if err != nil {
		return Note{}, err
	}
	return n.up(s, float64(steps)*t.Division.Step())
}

// ParseInterval reads an interval above zero: a quantity like "2semitones" or "702c", a ratio
// like "3/2", or so many steps of the division, like "3steps". The error is an *InputError.
func (t Tuning) ParseInterval(s string) (PitchInterval, error) {
	text := strings.TrimSpace(s)
	refuse := func(why string) (PitchInterval, error) {
		return 0, &InputError{"interval", s, why, "write it like 2semitones, 50cents, 3/2 or 3steps"}
	}
	counted, inSteps := strings.CutSuffix(text, "steps")
	if !inSteps {
		counted, inSteps = strings.CutSuffix(text, "step")
	}
	var cents float64
	switch {
	case inSteps:
		n, err := strconv.Atoi(counted)
		if err != nil || n < 1 || n > mostStepsAway {
			return refuse("has no whole number of steps above zero")
		}
		cents = float64(n) * t.Division.Step()
	case strings.ContainsAny(text, "/:"):
		i, err := parsePitchRatio(text)
		if err != nil {
			return 0, err
		}
		if cents = i.cents(); cents <= 0 {
			return refuse("is no ratio above 1")
		}
	default:
		by, err := Parse[PitchInterval](text)
		var input *InputError
		if errors.As(err, &input) {
			input.What = "interval"
		}
		if err != nil {
			return 0, err
		}
		cents = by.In(Cent)
	}
	if cents > mostRatioCents {
		return refuse("is more than ten octaves")
	}
	return PitchInterval(cents), nil
}

// up is the note so many cents above, which was written as said.
func (n Note) up(said string, cents float64) (Note, error) {
	all := 100*float64(n.Semitones) + n.Cents + cents
	semitones := math.Round(all / 100)
	if !(semitones >= lowestNote && semitones <= highestNote) {
		return Note{}, &InputError{What: "note", Text: said, Why: "is outside the notes from C-1 to B10"}
	}
	return Note{int(semitones), all - 100*semitones}, nil
}
