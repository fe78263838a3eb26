package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/safety"
)

// caution stands before what can hurt.
const caution = safety.Snap

// A way is one way of weighing a string.
type way struct {
	say   string   // what it does, for the list in the help
	marks []string // flags that are its own: any of them means this way
	needs []string // flags that it cannot do without
	takes []string // flags that it can do with, besides those marked, needed and said of sound
	hears bool     // it takes sound
	asks  bool     // it finds no unit weight that could be kept
	weigh func(cmd *cobra.Command, args []string) error
}

// weighing holds what the ways of weighing have in common.
type weighing struct {
	e       *ears
	scale   *scale
	held    ends
	of      material // of a plain wire or a core
	gravity gravity  // what masses pull by
	rig     rig      // what they hang on
	keep    keeping  // in the stock

	// then makes another figure of the weight, and of what it was heard of if anything;
	// nil where the weight is all that is wanted.
	then func(*figure, *heard) (*figure, error)
	// flags are those that go with every way.
	flags []string
	// otherwise is the way where none is named; nil where one must be.
	otherwise *way
}

// ways makes the ways of weighing, each adding the flags that are its own.
func (w *weighing) ways(f *pflag.FlagSet) []way {
	return []way{w.byPull(f), w.byHang(f), w.byClip(f), w.byBuild(f), w.byWinding(f), w.byCut(f), w.forClip(f)}
}

func newWeigh(s streams) *cobra.Command {
	w := &weighing{gravity: gravity{Measured: physics.AnyGravity()}}
	cmd := &cobra.Command{
		Use:   "weigh (--pull FORCE --scale LENGTH " + takes + " | --hang LOAD[:TAKE]... --scale LENGTH | --clip MASS --scale LENGTH " + takes + " | --gauge DIAMETER --material NAME | --core SIZE --material NAME [--shape NAME] [--wrap WIRE:NAME...] | --mass MASS --cut LENGTH)",
		Short: "Find a string's unit weight, its mass per length",
	}
	f := cmd.Flags()
	f.SortFlags = false
	ways := w.ways(f)
	w.scale = addScale(f, &w.held)
	w.gravity.addTo(f)
	f.Var(&w.rig, "rig", "`name` of the rig that loads hang on, whose friction and weights were calibrated")
	w.e = newEars(s, cmd)
	w.e.offerScreen(cmd)
	w.e.addRecorder(cmd)
	w.e.offerMonteCarlo(cmd)
	w.keep.addTo(f)
	list := ""
	for _, y := range ways {
		list += fmt.Sprintf("    %-22s %s\n", "--"+strings.Join(y.needs, ", --"), y.say)
	}
	cmd.Long = `weigh finds the unit weight of a string by one of these routes:

` + list + `
A mass, like 16.1kg, is taken to hang where gravity is standard, 9.80665 m/s², unless
--gravity says otherwise: at the equator it is 0.3 % less, at the poles 0.3 % more.

--hang takes two loads or more, better five from light to heavy, in any order, each
with its take; takes of one load count together. The slope is free of what all loads
have in common, such as a hanger that was not weighed, but not of friction that grows
with the load: let them hang free, not over an edge. --rig names what pluckweigh
calibrate rig keeps: how well the weights are known, and for --pull the friction.

A clip is a small known mass, such as a crocodile clip or a blob of putty, fixed to
the middle of a string whose tension is not known. It lowers the odd partials and
leaves the even ones alone; one pluck of the string with the clip on gives its unit
weight and its tension. A clip of 2 to 9 % of the string's mass suits (--clip-for says
what that is), which lowers the first partial by 30 to 150 cents. Pluck near one end,
not at the clip. How far off the middle it sits and how much of the string it holds are
told from the sound; let it be short, low, firm and of one piece all the same: what is
loose on it weighs less on the string than on the balance. One that slips, falls off or
rattles is found out most times, not each time: listen for it.

A tolerance given (±) is a standard uncertainty, k = 1. One that was not given is
assumed and marked so. The result carries twice its standard uncertainty, k = 2, what
it comes from, and what it would become if an input were known as well as is in
reach. With --monte-carlo a million random draws stand beside that.
Routes that take sound take ends half-way between pinned (on an edge, where the string
can tilt) and clamped (where it cannot), unless --ends says which: sound cannot tell.

--keep puts the unit weight into the stock, to the string of that name, with what it was
found from; the core's stiffness too where it is heard. See pluckweigh stock.

Listening to a microphone on a terminal it draws a screen, as listen does, but for --hang,
which asks for one load after the other in lines; --lines prints lines instead.

Sound is taken as listen takes it; what pluckweigh calibrate has found of the recorder
counts, and --scale takes the name of a length that it found. The materials are
` + materials() + `;
steel is music wire.

` + caution
	cmd.Example = `  pluckweigh weigh --pull 163N±1N --scale 863.6mm take.wav
  pluckweigh weigh --pull 16.1kgf±0.3% --scale 34in --near A1
  pluckweigh weigh --scale 34in --hang 2kg:a.wav --hang 6kg:b.wav --hang 10kg:c.wav
  pluckweigh weigh --scale 34in --hang 2kg --hang 6kg --hang 10kg --picture fit.svg
  pluckweigh weigh --clip-for 18g/m --scale 863.6mm
  pluckweigh weigh --clip 0.8g±0.002g --scale 863.6mm loaded.wav
  pluckweigh weigh --gauge 0.012in --material steel
  pluckweigh weigh --core 0.4mm --shape hexagonal --material steel --wrap 0.5mm:nickel-200
  pluckweigh weigh --mass 9.21g±0.01g --cut 500mm±0.5mm --keep "E 46"`
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		y, err := w.choose(cmd, args, ways)
		if err != nil {
			return err
		}
		if cmd.Flags().Changed("keep") {
			if err := w.keep.check(cmd.Context()); err != nil {
				return err
			}
			w.e.stow = w.kept
		}
		return y.weigh(cmd, args)
	}
	return cmd
}

// choose finds the one way of weighing that the flags name.
func (w *weighing) choose(cmd *cobra.Command, args []string, ways []way) (way, error) {
	given := cmd.Flags().Changed
	var all []string
	var named []way
	for _, y := range ways {
		all = append(all, "--"+strings.Join(y.needs, " and --"))
		if slices.ContainsFunc(y.marks, given) {
			named = append(named, y)
		}
	}
	hint := "give " + strings.Join(all[:len(all)-1], ", ") + ", or " + all[len(all)-1]
	switch {
	case len(named) == 0 && w.otherwise != nil:
		named = append(named, *w.otherwise)
	case len(named) == 0:
		return way{}, &callError{"weigh needs to know how", hint}
	case len(named) > 1:
		return way{}, &callError{"the flags belong to more than one way of weighing", "keep those of one; " + hint}
	}
	y := named[0]
	for _, f := range y.needs {
		if !given(f) {
			mark := y.marks[slices.IndexFunc(y.marks, given)]
			return way{}, &callError{fmt.Sprintf("--%s needs --%s too", mark, f), "add --" + f}
		}
	}
	if !y.hears && len(args) > 0 {
		return way{}, &callError{fmt.Sprintf("this way of weighing takes no sound, but %q is named", args[0]), "leave the take out"}
	}
	var odd *callError
	cmd.Flags().Visit(func(f *pflag.Flag) {
		sound := slices.Contains(w.e.sound, f.Name)
		switch {
		case odd != nil || f.Name == "json" || slices.Contains(w.flags, f.Name) || !y.asks && w.keep.takes(f.Name) || slices.Contains(slices.Concat(y.marks, y.needs, y.takes), f.Name) || y.hears && sound:
		case sound:
			odd = &callError{fmt.Sprintf("this way of weighing takes no sound, but --%s is given", f.Name), "leave it out"}
		default:
			odd = &callError{fmt.Sprintf("--%s is of no use in this way of weighing", f.Name), "leave it out"}
		}
	})
	if odd != nil {
		return way{}, odd
	}
	return y, nil
}

// still prints the unit weight that a way without sound came to.
func (w *weighing) still(route string, mu physics.Result[physics.UnitWeight], err error, proposals map[string]string) error {
	if err == nil {
		err = physics.StringWeight.Check(mu.Value)
	}
	if err != nil {
		return err // without sound only the call can be wrong
	}
	return w.print(figureOf("unit weight", route, mu, proposals))
}

// print prints a unit weight, or what is made of it.
func (w *weighing) print(f *figure) (err error) {
	k := ofUnitWeight
	if w.then != nil {
		if f, err = w.then(f, nil); err != nil {
			return err
		}
		k = ofIdentity
	}
	return w.e.print(&answer{kind: k, figure: f})
}

// hear hears takes that a unit weight is made of, and prints it or what is made of it.
func (w *weighing) hear(cmd *cobra.Command, args []string, j judge) error {
	if w.then != nil {
		weigh := j.work
		j = judge{kind: ofIdentity, work: func(r heard) (*figure, error) {
			f, err := weigh(r)
			if err != nil {
				return nil, err
			}
			return w.then(f, &r)
		}}
	}
	return w.e.hear(cmd, args, j)
}

// heardWeight is the unit weight that a way came to from sound, as a judge returns it.
func heardWeight(route string, mu physics.Result[physics.UnitWeight], err error, proposals map[string]string) (*figure, error) {
	if err == nil {
		err = physics.StringWeight.Check(mu.Value)
	}
	if err := noString(err, "the unit weight comes out implausible for a string"); err != nil {
		return nil, err
	}
	return figureOf("unit weight", route, mu, proposals), nil
}
