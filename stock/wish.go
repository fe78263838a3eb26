package stock

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
)

// A WishKind is what a wish is about.
type WishKind int

const (
	NoWish    WishKind = iota
	PullWish           // a pull for all positions, or one for each
	SlopeWish          // on a line from the lowest note's string to the highest's
	EvenWish           // as even as possible, perhaps about a level
	LikeWish           // as those of another instrument
)

var wishWords = [...]string{NoWish: "", PullWish: "pull", SlopeWish: "slope", EvenWish: "even", LikeWish: "like"}

// A Wish is what the strings of an instrument should be like, whatever its positions. The
// zero value wishes for nothing.
type Wish struct {
	Kind WishKind
	// Forces are those of a PullWish, the two of a SlopeWish, or the level of an EvenWish
	// that has one.
	Forces []physics.Force
	Like   string         // name of the instrument of a LikeWish
	Feel   physics.Length // the depth of choose.Push that Forces are at; 0 where they are pulls
	Within physics.Force  // how far off a string may be; 0 for as far as it takes
}

// Over is the wish at the positions of an instrument. A LikeWish needs the positions and
// the strings of the other one. The error is a *physics.InputError.
func (w Wish) Over(positions, others []choose.Position, strung []traits.String) (to choose.Wish, err error) {
	if w.Feel > 0 {
		to = to.Pushed(w.Feel)
	}
	switch {
	case w.Kind == LikeWish && len(others) != len(positions):
		return to, &physics.InputError{What: "wish", Text: w.String(), Why: fmt.Sprintf("is of an instrument with %d positions, and this one has %d", len(others), len(positions)),
			Fix: "name an instrument with as many, or give each position's pull, like 160N,170N,..."}
	case w.Kind == LikeWish:
		to, err = to.Like(others, strung)
	case w.Kind == SlopeWish:
		to.Targets = choose.Slope(positions, w.Forces[0], w.Forces[1]).Targets
	case w.Kind == EvenWish && len(w.Forces) > 0:
		to.Near = w.Forces[0]
	case w.Kind == PullWish && len(w.Forces) == 1:
		to.Targets = slices.Repeat(w.Forces, len(positions))
	case w.Kind == PullWish && len(w.Forces) != len(positions):
		return to, &physics.InputError{What: "wish", Text: w.String(), Why: fmt.Sprintf("names %d forces for %d positions", len(w.Forces), len(positions)), Fix: "name one for all, or one for each"}
	case w.Kind == PullWish:
		to.Targets = w.Forces
	}
	to.Within = w.Within
	return to, err
}

// String writes the wish as ParseWish reads it, in SI units: "pull 160N within 20N".
func (w Wish) String() string {
	if w.Kind == NoWish {
		return ""
	}
	var all []string
	say := func(word, value string) { all = append(all, word, value) }
	var forces []string
	for _, f := range w.Forces {
		forces = append(forces, si(float64(f), "N"))
	}
	if w.Feel > 0 {
		say("feel", si(float64(w.Feel), "m"))
	}
	if w.Within > 0 {
		say("within", si(float64(w.Within), "N"))
	}
	switch w.Kind {
	case LikeWish:
		say("like", w.Like) // last: a name may have spaces
	case SlopeWish:
		say("slope", strings.Join(forces, ":"))
	case PullWish:
		say("pull", strings.Join(forces, ","))
	default:
		all = append(all, "even")
		if len(forces) > 0 {
			say("about", forces[0])
		}
	}
	return strings.Join(all, " ")
}

// si writes a number so that it is read back to the same.
func si(v float64, unit string) string { return strconv.FormatFloat(v, 'g', -1, 64) + unit }

// ParseWish reads words and what they are of: pull 160N or pull 160N,170N, slope 180N:140N,
// even, even about 160N, or like NAME, which is the last; before or behind that within 20N
// and feel 3mm. Nothing is no wish. The error is a *physics.InputError.
func ParseWish(s string) (w Wish, err error) {
	rest := strings.TrimSpace(s)
	refuse := func(why string) (Wish, error) {
		return Wish{}, &physics.InputError{What: "wish", Text: s, Why: why, Fix: `write it like "pull 160N within 20N", "slope 180N:140N", "even" or "like alto"`}
	}
	kind := func(k WishKind) bool {
		was := w.Kind
		w.Kind = k
		return was == NoWish
	}
	one := true
	for rest != "" && one && err == nil {
		var word, value string
		word, rest = firstWord(rest)
		if word == "like" {
			one, w.Like, rest = kind(LikeWish), rest, ""
			continue
		}
		if word == "even" {
			one = kind(EvenWish)
			continue
		}
		value, rest = firstWord(rest)
		switch word {
		case "pull":
			one = kind(PullWish)
			w.Forces, err = parseForces(value, ",")
		case "slope":
			one = kind(SlopeWish)
			w.Forces, err = parseForces(value, ":")
		case "about":
			one = w.Kind == EvenWish && len(w.Forces) == 0
			w.Forces, err = parseForces(value, ",")
		case "within":
			one = w.Within == 0
			w.Within, err = physics.Parse[physics.Force](value)
		case "feel":
			one = w.Feel == 0
			w.Feel, err = physics.Parse[physics.Length](value)
		default:
			return refuse(fmt.Sprintf("has the unknown word %q", word))
		}
	}
	switch {
	case err != nil:
		return Wish{}, err
	case !one:
		return refuse("says two things that contradict each other")
	case w.Kind == NoWish && s != "":
		return refuse("does not say what for")
	}
	return w, nil
}

func firstWord(s string) (word, rest string) {
	word, rest, _ = strings.Cut(s, " ")
	return word, strings.TrimSpace(rest)
}

func parseForces(s, sep string) (all []physics.Force, err error) {
	for part := range strings.SplitSeq(s, sep) {
		f, err := physics.Parse[physics.Force](part)
		if err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	return all, nil
}

// check returns a *physics.InputError for a wish that an instrument with so many positions
// cannot have.
func (w Wish) check(positions []choose.Position, instrument string) error {
	refuse := func(why, fix string) error {
		return &physics.InputError{What: "wish", Text: w.String(), Why: why, Fix: fix}
	}
	above := func(v float64) bool { return v >= 0 && v < 1e6 }
	switch {
	case w.Kind < NoWish || w.Kind > LikeWish || w.Kind == NoWish && (w.Feel != 0 || w.Within != 0 || w.Like != "" || len(w.Forces) > 0):
		return refuse("is of no kind that is known", "write it like pull 160N")
	case !above(float64(w.Feel)) || !above(float64(w.Within)):
		return refuse("has an impossible depth or tolerance", "write it like pull 160N within 20N")
	case w.Kind == SlopeWish && len(w.Forces) != 2:
		return refuse("needs two forces", "write it like slope 180N:140N, the lowest note's string first")
	case w.Kind == PullWish && len(w.Forces) == 0, w.Kind == EvenWish && len(w.Forces) > 1, w.Kind == LikeWish && len(w.Forces) > 0:
		return refuse("has too many forces, or too few", "write it like pull 160N or even about 160N")
	case w.Kind == EvenWish && w.Within > 0 && len(w.Forces) == 0:
		return refuse("is to be within something of nothing", "say what of, as in even about 160N within 20N")
	case w.Kind == LikeWish && w.Like == instrument:
		return refuse("is to be like itself", "name another instrument")
	case w.Kind == LikeWish:
		return checkName("name of the instrument to be like", w.Like)
	case w.Kind == NoWish:
		return nil
	}
	to, err := w.Over(positions, nil, nil)
	if err == nil {
		err = to.Check(positions)
	}
	return err
}
