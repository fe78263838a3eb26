package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock/choose"
)

// An amount is a flag that takes a number with a unit and no tolerance.
type amount[Q physics.Quantity] struct {
	value Q
	text  string // empty for not given
}

func (v *amount[Q]) Set(s string) (err error) {
	v.value, err = physics.Parse[Q](s)
	v.text = s
	return err
}

func (v *amount[Q]) String() string { return v.text }
func (v *amount[Q]) Type() string   { return "quantity" }

// forces is a flag that takes forces, parted by sep.
type forces struct {
	all  []physics.Force
	text string
	sep  string
}

func (v *forces) Set(s string) error {
	v.all, v.text = nil, s
	for _, part := range strings.Split(s, v.sep) {
		f, err := physics.Parse[physics.Force](strings.TrimSpace(part))
		if err != nil {
			return err
		}
		v.all = append(v.all, f)
	}
	return nil
}

func (v *forces) String() string { return v.text }
func (v *forces) Type() string   { return "force" + v.sep + "..." }

// whichPositions is a flag that takes numbers of positions, like 1,2 or 3-6.
type whichPositions struct {
	all  []int // from 1 on
	text string
}

func (v *whichPositions) Set(s string) error {
	v.all, v.text = nil, s
	for _, part := range strings.Split(s, ",") {
		from, to, isRange := strings.Cut(part, "-")
		if !isRange {
			to = from
		}
		a, errA := strconv.Atoi(strings.TrimSpace(from))
		b, errB := strconv.Atoi(strings.TrimSpace(to))
		if errA != nil || errB != nil || a < 1 || b < a || b > 1000 {
			return &physics.InputError{What: "position", Text: part, Why: "is not a number of one, nor a range", Fix: "write them like 1,2 or 3-6"}
		}
		for ; a <= b; a++ {
			v.all = append(v.all, a)
		}
	}
	return nil
}

func (v *whichPositions) String() string { return v.text }
func (v *whichPositions) Type() string   { return "positions" }

// A wishing is the flags that say what strings should be like.
type wishing struct {
	pull, slope   forces
	even          bool
	like          string
	ofMean        bool // --even has a pull to be within: the strings' mean
	about, within amount[physics.Force]
	feel          quantity[physics.Length]
}

// addTargets adds those that name a pull for each position.
func (v *wishing) addTargets(f *pflag.FlagSet) {
	v.pull.sep, v.slope.sep = ",", ":"
	f.Var(&v.pull, "pull", "what each string is to pull, like 160N, or one for each position,\nlike 160N,170N,175N,180N")
	f.Var(&v.slope, "slope", "what the lowest note's string is to pull and the highest's, the others on\na line between, like 180N:140N")
	f.StringVar(&v.like, "like", "", "what another `instrument`'s strings pull, position by position")
}

func (v *wishing) addTo(f *pflag.FlagSet) {
	v.addTargets(f)
	v.feel.role = physics.PushDepth
	f.BoolVar(&v.even, "even", false, "the least difference between the lowest pull and the highest")
	f.Var(&v.about, "about", "what --even is to be near to, like 160N (default anything)")
	f.Var(&v.feel, "feel", "count how hard each is to push aside at mid-length by this depth, like 3mm,\nstiffness included, in place of how hard it pulls")
	f.Var(&v.within, "within", "how far a string may be off what is wished for, like 20N; a position for which\nthere is none stays empty")
}

// check refuses wishes that do not go together.
func (v *wishing) check() error {
	var given []string
	for _, w := range []struct {
		flag  string
		given bool
	}{{"pull", v.pull.text != ""}, {"slope", v.slope.text != ""}, {"even", v.even}, {"like", v.like != ""}} {
		if w.given {
			given = append(given, "--"+w.flag)
		}
	}
	switch {
	case len(given) == 0:
		return &callError{"choose needs to know what the strings should be like", "add --pull 160N, --slope 180N:140N, --even or --like INSTRUMENT"}
	case len(given) > 1:
		return &callError{strings.Join(given, " and ") + " are wishes that contradict each other", "leave all but one out"}
	case v.slope.text != "" && len(v.slope.all) != 2:
		return &callError{fmt.Sprintf("--slope: %q is not two forces", v.slope.text), "write it like 180N:140N, the lowest note's string first"}
	case v.about.text != "" && !v.even:
		return &callError{"--about is of --even", "add --even, or leave it out"}
	case v.within.text != "" && v.even && v.about.text == "" && !v.ofMean:
		return &callError{"--within needs to know what from", "add --about, like --about 160N"}
	}
	return nil
}

// wish is what is wished for at the positions; like has the strings of the instrument
// that they are to be like, if any.
func (v *wishing) wish(positions []choose.Position, like *strungUp) (w choose.Wish, err error) {
	if v.feel.given {
		w = w.Pushed(v.feel.Value)
	}
	of, depth := w.Of, w.Depth
	switch {
	case v.like != "":
		if len(like.places) != len(positions) {
			return w, &callError{fmt.Sprintf("--like: %q has %d positions, and this instrument %d", v.like, len(like.places), len(positions)),
				"name an instrument with as many, or give each position's pull: --pull 160N,170N,..."}
		}
		w, err = w.Like(like.places, like.strings)
	case v.slope.text != "":
		w = choose.Slope(positions, v.slope.all[0], v.slope.all[1])
	case v.even:
		w = choose.Even(v.about.value, 0)
	case len(v.pull.all) == 1:
		w = choose.Level(len(positions), v.pull.all[0])
	case len(v.pull.all) != len(positions):
		return w, &callError{fmt.Sprintf("--pull names %d forces for %d positions", len(v.pull.all), len(positions)), "name one for all, or one for each"}
	default:
		w = choose.Each(v.pull.all...)
	}
	w.Of, w.Depth, w.Within = of, depth, v.within.value
	return w, err
}

// said is the wish in words.
func (v *wishing) said() string {
	var s string
	switch {
	case v.like != "":
		s = "like " + v.like + ", position by position"
	case v.slope.text != "":
		s = fmt.Sprintf("from %s at the lowest note to %s at the highest", physics.Format(v.slope.all[0], 0, 4), physics.Format(v.slope.all[1], 0, 4))
	case v.even && v.about.text != "":
		s = "as even as possible near " + physics.Format(v.about.value, 0, 4)
	case v.ofMean && v.even:
		s = "all like their mean at pitch"
	case v.even:
		s = "as even as possible"
	case len(v.pull.all) == 1:
		s = physics.Format(v.pull.all[0], 0, 4) + " each"
	default:
		s = "a pull for each position"
	}
	if v.feel.given {
		s += fmt.Sprintf(", by the side force at %s", physics.Format(v.feel.Value, v.feel.Unit, 4))
	}
	return s
}
