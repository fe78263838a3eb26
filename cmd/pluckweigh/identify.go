package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/identify"
	"pluckweigh/stock/traits"
)

// usualCopies is by how much the unit weight of one copy of a string is taken to differ from
// that of the next (judgement).
const usualCopies = 0.005

// identifying is what the command identify is told.
type identifying struct {
	weighing
	kinds
	is     traits.Kind // as they say
	weight quantity[physics.UnitWeight]
	gauge  quantity[physics.Length]
	copies share
	none   amount[physics.Fraction]

	stocked
	unkept bool // something was to be kept and was not
}

func newIdentify(s streams) *cobra.Command {
	i := &identifying{
		weighing: weighing{gravity: gravity{Measured: physics.AnyGravity()}},
		weight:   quantity[physics.UnitWeight]{role: physics.StringWeight},
		gauge:    quantity[physics.Length]{role: physics.Gauge},
		copies:   share{Relative: physics.Relative{U: usualCopies}, what: "difference of copies"},
	}
	cmd := &cobra.Command{
		Use:   "identify [--gauge DIAMETER] [--plain | --wound] [--pull FORCE --scale LENGTH " + takes + " | --clip MASS --scale LENGTH " + takes + " | --mass MASS --cut LENGTH | --unit-weight WEIGHT [--scale LENGTH " + takes + "]]",
		Short: "Tell which string in stock a string is",
		Long: `identify tells which of the strings in stock a string is, or that it is none of them,
each with its probability, and what to measure next to settle it. Whatever is known of the
string counts, within its uncertainty:

    --gauge                its diameter over all, by a micrometer
    --plain, --wound       what it looks like
    --pull, --scale        heard under a known pull: unit weight and stiffness
    --clip, --scale        heard with a small known mass clipped on, its tension unknown
    --mass, --cut          a cut length on a balance
    --unit-weight          found in any other manner; with --scale, heard for its stiffness

The routes by sound are those of pluckweigh weigh, and take what they take there.

Beforehand all strings in stock are equally likely, and with one chance in five, unless
--none says otherwise, it is none of them but any other, plain or wound, that could be
built. What is known of a string in
stock holds for one copy of it; others are taken to differ, by ` + usualDifference() + ` of the
unit weight unless --copies says otherwise, half as much in diameter and twice in
stiffness. An answer of less than ` + fmt.Sprintf("%.0f %%", 100*identify.Surely) + ` is said to be open. If it may be a plain string
that is not in stock, of which nothing need be, what wire it is comes of unit weight and
diameter.

--keep NAME keeps what was measured: with the string that it is, or as a new string of
that name if it is none of them. Where that is open, and where NAME is another string in
stock than the one that it is, nothing is kept, and it is said.

A tolerance given (±) is a standard uncertainty, k = 1. One that was not given is
assumed. Sound is taken as listen takes it; what pluckweigh calibrate has found of the
recorder counts, and --scale takes the name of a length that it found.

` + caution,
		Example: `  pluckweigh identify --gauge 1.17mm --wound
  pluckweigh identify --clip 0.8g±0.002g --scale 863.6mm --gauge 1.17mm loaded.wav
  pluckweigh identify --pull 163N±1N --scale 34in --wound --json take.wav
  pluckweigh identify --mass 9.21g±0.01g --cut 500mm --gauge 1.17mm --keep "E 46"`,
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.Var(&i.gauge, "gauge", "diameter over all, like 1.17mm±0.003mm")
	i.kinds.addTo(f, "it is a plain wire", "it is wound")
	told := i.told(f)
	ways := []way{i.byPull(f), i.byClip(f), i.byCut(f), told}
	i.scale = addScale(f, &i.held)
	i.gravity.addTo(f)
	f.Var(&i.rig, "rig", "`name` of the rig that a load hangs on, whose friction and weights were calibrated")
	f.Var(&i.copies, "copies", "by how much copies of a string differ in unit weight, like ±1% (default ±0.5%)")
	f.Var(&i.none, "none", "how likely it is beforehand to be none of those in stock, like 5% (default 20%)")
	i.keep.addTo(f)
	i.flags = []string{"gauge", "plain", "wound", "copies", "none", "keep", "stock"}
	i.otherwise = &way{weigh: func(*cobra.Command, []string) error { return i.print(&figure{}) }}
	i.then = i.identify
	i.e = newEars(s, cmd)
	i.e.addRecorder(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) (err error) {
		if i.is, err = i.kind(); err != nil {
			return err
		}
		if err := i.check(cmd, args); err != nil {
			return err
		}
		ways[len(ways)-1].hears = i.scale.given
		y, err := i.choose(cmd, args, ways)
		if err != nil {
			return err
		}
		return i.run(cmd, args, y)
	}
	return cmd
}

// usualDifference is usualCopies for a person.
func usualDifference() string { return fmt.Sprintf("±%g%%", 100*usualCopies) }

// check refuses calls that no string can be recognised by.
func (i *identifying) check(cmd *cobra.Command, args []string) error {
	given := cmd.Flags().Changed
	if p := i.none.value; given("none") && !(p > 0 && p < 1) {
		return &callError{"how likely it is to be none of those in stock must lie between 0 and 100 %", "write it like --none 5%"}
	}
	for _, f := range []string{"pull", "clip", "mass", "cut", "unit-weight"} {
		if given(f) {
			return nil
		}
	}
	switch {
	case len(args) > 0 || i.scale.given:
		return &callError{"what is heard tells of a string only under a known pull or with a clip",
			"add --pull 163N or --clip 0.8g, or --unit-weight where that is known; each with --scale"}
	case !i.gauge.given:
		return &callError{"identify needs something measured of the string",
			"give --gauge, --unit-weight, --mass and --cut, or a take with --scale and --pull or --clip"}
	}
	return nil
}

// told takes a unit weight that was found in another manner, and what is heard besides.
func (i *identifying) told(f *pflag.FlagSet) way {
	f.Var(&i.weight, "unit-weight", "mass per length, like 18.4g/m or 0.00103lb/in")
	weight := func(heard) (*figure, error) {
		w := i.weight
		return &figure{route: stock.Stated, value: float64(w.Value), u: float64(w.U), dof: w.DoF}, nil
	}
	return way{
		marks: []string{"unit-weight"}, needs: []string{"unit-weight"}, takes: []string{"scale", "ends"},
		weigh: func(cmd *cobra.Command, args []string) error {
			if i.scale.given {
				return i.hear(cmd, args, judge{work: weight})
			}
			w, _ := weight(heard{})
			return i.print(w)
		},
	}
}

// run identifies a string, weighed some way.
func (i *identifying) run(cmd *cobra.Command, args []string, y way) error {
	ctx := cmd.Context()
	err := i.keep.file.read(ctx, func(st *stock.Store) error { return i.read(ctx, st, identify.Known) })
	if err != nil && !errors.Is(err, nothingYet) { // what is in no stock is still of some wire
		return err
	}
	if cmd.Flags().Changed("keep") {
		if err := i.keep.check(ctx); err != nil {
			return err
		}
		i.e.stow = i.stow
	}
	err = y.weigh(cmd, args)
	if i.unkept && exitCode(err) == codeDone {
		err = reported(codeUntrusted)
	}
	return err
}
