package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
)

// A wishing is the flags that say what strings should be like.
type wishing struct {
	pull, slope   forces
	even          bool
	like          string
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

// wishNames are the flags of a wish.
var wishNames = []string{"pull", "slope", "even", "like", "about", "feel", "within"}

// kinds are the flags given that each say what for, of which there may be one.
func (v *wishing) kinds() (given []string) {
	for _, w := range []struct {
		flag  string
		given bool
	}{{"pull", v.pull.text != ""}, {"slope", v.slope.text != ""}, {"even", v.even}, {"like", v.like != ""}} {
		if w.given {
			given = append(given, "--"+w.flag)
		}
	}
	return given
}

// check refuses flags that do not go together.
func (v *wishing) check() error {
	given := v.kinds()
	switch {
	case len(given) > 1:
		return &callError{strings.Join(given, " and ") + " are wishes that contradict each other", "leave all but one out"}
	case v.slope.text != "" && len(v.slope.all) != 2:
		return &callError{fmt.Sprintf("--slope: %q is not two forces", v.slope.text), "write it like 180N:140N, the lowest note's string first"}
	case v.about.text != "" && !v.even:
		return &callError{"--about is of --even", "add --even, or leave it out"}
	}
	return nil
}

// over is what the flags wish for, or what is kept, where they say no more than how near to
// it or how deep.
func (v *wishing) over(kept stock.Wish) stock.Wish {
	w := kept
	switch {
	case v.like != "":
		w = stock.Wish{Kind: stock.LikeWish, Like: v.like}
	case v.slope.text != "":
		w = stock.Wish{Kind: stock.SlopeWish, Forces: v.slope.all}
	case v.even:
		w = stock.Wish{Kind: stock.EvenWish}
		if v.about.text != "" {
			w.Forces = []physics.Force{v.about.value}
		}
	case v.pull.text != "":
		w = stock.Wish{Kind: stock.PullWish, Forces: v.pull.all}
	}
	if v.within.text != "" {
		w.Within = v.within.value
	}
	if v.feel.given {
		w.Feel = v.feel.Value
	}
	return w
}

// overPositions lays a wish over the positions of an instrument.
func overPositions(ctx context.Context, st *stock.Store, w stock.Wish, positions []choose.Position, held physics.Ends) (choose.Wish, error) {
	if w.Kind != stock.LikeWish {
		return w.Over(positions, nil, nil)
	}
	like, err := newStrungUp(ctx, st, w.Like, nil, held)
	var missing *stock.MissingError
	if errors.As(err, &missing) {
		return choose.Wish{}, &callError{fmt.Sprintf("the wish is to be like %q: %v", w.Like, missing), missing.Hint()}
	}
	if err != nil {
		return choose.Wish{}, err
	}
	return w.Over(positions, like.places, like.strings)
}

// wishSaid is a wish in words. Where strings are on the instrument, as even as possible is
// like their mean.
func wishSaid(w stock.Wish, ofMean bool) string {
	var s string
	force := func(i int) string { return physics.Format(w.Forces[i], 0, 4) }
	switch {
	case w.Kind == stock.LikeWish:
		s = "like " + w.Like + ", position by position"
	case w.Kind == stock.SlopeWish:
		s = fmt.Sprintf("from %s at the lowest note to %s at the highest", force(0), force(1))
	case w.Kind == stock.EvenWish && ofMean:
		s = "all like their mean at pitch"
	case w.Kind == stock.EvenWish && len(w.Forces) > 0:
		s = "as even as possible near " + force(0)
	case w.Kind == stock.EvenWish:
		s = "as even as possible"
	case len(w.Forces) == 1:
		s = force(0) + " each"
	default:
		s = "a pull for each position"
	}
	if w.Feel > 0 {
		s += fmt.Sprintf(", by the side force at %s", physics.Format(w.Feel, physics.Millimetre, 4))
	}
	return s
}

// wishWhole is a wish in words, with how near.
func wishWhole(w stock.Wish) string {
	s := wishSaid(w, false)
	if w.Kind == stock.PullWish && len(w.Forces) > 1 {
		var all []string
		for _, f := range w.Forces {
			all = append(all, physics.Format(f, 0, 4))
		}
		s = strings.Join(all, ", ") + " by position"
	}
	if w.Within > 0 {
		s += fmt.Sprintf(", within %s", physics.Format(w.Within, 0, 4))
	}
	return s
}
