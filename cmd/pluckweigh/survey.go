package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/stock"
	"pluckweigh/stock/choose"
	"pluckweigh/stock/traits"
	"pluckweigh/survey"
)

// surveying holds the flags of survey, and what they come to.
type surveying struct {
	e        *ears
	file     stockFile
	session  string
	show     bool
	sessions bool
	position int
	inOrder  bool
	out      quantity[physics.PitchInterval]
	down, up quantity[physics.PitchInterval]
	good     quantity[physics.PitchInterval]
	strings  []string
	held     ends
	clip     quantity[physics.Mass]
	wish     wishing
	picture  picture
	given    func(flag string) bool

	on     *surveyed
	mass   detect.Mass
	store  *stock.Store
	plucks []stock.Pluck
	last   int // the pluck that is told of, -1 for none
	also   int // that which sounded together with it, -1 for none
	named  int // the position that what is heard is of, survey.Nowhere for none
}

// enoughOf is after how many seconds a pluck is measured while it rings: a tone of one
// string is good to some hundredths of a cent by then.
const enoughOf = 2.0

// newSurveying is a survey as it is where no flag says more.
func newSurveying() *surveying {
	interval := func(text string, cents physics.PitchInterval) quantity[physics.PitchInterval] {
		q := quantity[physics.PitchInterval]{role: tolerated}
		q.Value, q.text = cents, text
		return q
	}
	w := &surveying{out: interval("1semitone", 100), good: interval("1cent", 1), last: -1, also: -1, named: survey.Nowhere, clip: quantity[physics.Mass]{role: physics.ClipMass}}
	w.down.role, w.up.role = physics.BendInterval, physics.BendInterval
	return w
}

func newSurvey(s streams) *cobra.Command {
	w := newSurveying()
	cmd := &cobra.Command{
		Use:   "survey INSTRUMENT [TAKE[@POSITION]...]",
		Short: "Pluck all strings of an instrument in any order, and hear what each pulls",
		Long: `survey hears the strings of an instrument that is in stock, as it is strung now. Pluck
them one by one in any order, and damp the others: each is recognised by its pitch, and
told as found and as it will pull at pitch. No key is needed; it ends when every string
is known to --good, or with Ctrl-C, and then tells what is off and what would mend it.

A string is recognised where no other of the instrument's could sound so, none being
further out of tune than --out-of-tune. Where two could, both are said, and nothing is
guessed: the strings that are heard later may leave one of them, or name it, with
--position or as TAKE@POSITION. Leave the pegs alone until the end.

Of strings of one note it does not matter which is which where all about them is alike;
otherwise pluck them in the order of the positions, with --in-order, which is wise with
all courses. Two strings that ring together are refused, but for those of a course, side by
side and of one note or an octave apart: where they are 10 cents and more off the unison or
the octave both are told, where they are nearer they sound as one, or are refused. It is
surest to pluck each with the other damped.

Without takes it listens to the microphone. On a terminal it draws a screen: the string
heard last in digits that are read from a step away, and each with its state in words and
its ± as it becomes less; --lines prints lines instead, as for listen. Each pluck is kept
at once, in the session that --session names or one named by date, and outlasts a crash.
The same --session continues it, --show answers from what is kept, --sessions lists them.
Takes are kept too where a session is named.

Which string is on a position is kept by pluckweigh stock string. One whose unit weight
is not known is weighed on the way by a clip at its middle: --clip, see weigh.

Results carry twice their standard uncertainty, k = 2.

` + caution + "\n" + whip,
		Example: `  pluckweigh survey tenor
  pluckweigh survey tenor --session "tenor, new strings" --slope 180N:150N --picture tenor.svg
  pluckweigh survey tenor a.wav b.wav c.wav@3
  pluckweigh survey tenor --clip 0.5g±0.002g --in-order`,
		RunE: func(cmd *cobra.Command, args []string) error { return w.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&w.session, "session", "", "keep the plucks under this `name`, or continue it")
	f.BoolVar(&w.show, "show", false, "hear nothing more: answer from what the session has")
	f.BoolVar(&w.sessions, "sessions", false, "list the sessions")
	f.Var(&w.good, "good", "how well plucks are to tell a pitch (k = 2) to be ticked off, like 1cent: that is\n0.12 % of the pull; the recorder's clock comes on top")
	f.Var(&w.out, "out-of-tune", "how far a string may be out of tune, like 1semitone or 40cents")
	f.Var(&w.down, "down", "interval by which all strings are tuned lower than the instrument's notes")
	f.Var(&w.up, "up", "interval by which they are tuned higher")
	f.IntVar(&w.position, "position", 0, "`number` of the position that all plucks heard now are of")
	f.BoolVar(&w.inOrder, "in-order", false, "strings of one note are plucked in the order of their positions, each until\nit is ticked off")
	f.StringArrayVar(&w.strings, "string", nil, "`name` of the string at a position, in place of that which is kept, - for one\nnot known; once for each")
	f.Var(&w.clip, "clip", "mass of a clip that is put at mid-length of strings not known, like 0.5g±0.002g")
	f.Var(&w.held, "ends", "how the strings are held: unknown, pinned or clamped")
	w.wish.addTargets(f)
	f.BoolVar(&w.wish.even, "even", false, "that all strings pull alike: what they pull at pitch in the mean")
	f.Var(&w.wish.within, "within", "how far a string may be off what is wished for, like 5N (default what its pull\nis known to)")
	w.picture.addTo(f, "pulls by position")
	w.file.addTo(f)
	w.e = newEars(s, cmd)
	w.e.addRecorder(cmd)
	w.e.offerScreen(cmd)
	for _, of := range []string{"near", "reference", "save"} {
		f.MarkHidden(of) // of no use here, which is said to who gives one
	}
	return cmd
}

func (w *surveying) run(cmd *cobra.Command, args []string) error {
	ctx := cmd.Context()
	w.given = cmd.Flags().Changed
	if w.sessions {
		return w.file.read(ctx, w.listSurveys)
	}
	if len(args) == 0 || args[0] == "" {
		return &callError{"survey needs an instrument", "write it like `pluckweigh survey tenor`; `pluckweigh stock list` lists them"}
	}
	takes, err := w.check(cmd, args[1:])
	if err != nil {
		return err
	}
	if err := w.file.read(ctx, func(st *stock.Store) (err error) {
		w.on, err = w.read(ctx, st, args[0])
		return err
	}); err != nil {
		return err
	}
	if w.on.leftOut != "" {
		fmt.Fprintf(w.e.err, "%s: add --pull, --slope, --even or --like\n", w.on.leftOut)
	}
	if err := w.checkPositions(takes); err != nil {
		return err
	}
	w.e.listen = w.bare
	if w.clip.given {
		fmt.Fprintln(w.e.err, clipCaution)
		w.e.caution = clipCaution
		w.e.listen = w.eitherWay
	}
	w.e.judge = judge{late: true, many: true}
	err = w.gather(ctx, takes)
	var lost unwritten
	if errors.As(err, &lost) || err != nil && len(w.plucks) == 0 {
		return err
	}
	report(w.e.err, err) // what there is, is told all the same
	if told := w.tell(); told != nil {
		return errors.Join(told, reportedAs(err))
	}
	return reportedAs(err)
}

// A surveyed instrument is what is known of it beforehand.
type surveyed struct {
	stock.Instrument
	places  []choose.Position
	strings []*traits.String // by position, nil where its unit weight is not known
	names   []string         // by position, empty for not known
	odd     []bool           // that measurements of the string disagree
	stocked                  // to choose another string from
	wish    stock.Wish       // of no kind for none
	kept    bool             // that is the instrument's
	leftOut string           // why that is not judged by, empty where it is
	targets []physics.Force  // that are wished for, none for no wish, nor for EvenWish before all is heard
	as      []survey.Place
}

// read reads the instrument and what is on it.
func (w *surveying) read(ctx context.Context, st *stock.Store, name string) (*surveyed, error) {
	x, err := st.Instrument(ctx, name)
	if err != nil {
		return nil, err
	}
	on := &surveyed{Instrument: x, names: x.Strung()}
	if on.places, err = placesOf(x, w.held.Ends); err != nil {
		return nil, err
	}
	if len(w.strings) > 0 {
		if on.names = w.strings; len(on.names) != len(x.Positions) {
			return nil, &callError{fmt.Sprintf("%d strings are named, and %q has %d positions", len(on.names), name, len(x.Positions)),
				"name one for each position, in their order, - for one not known"}
		}
	}
	for i, n := range on.names {
		p := on.places[i]
		if n == noneThere {
			n = ""
			on.names[i] = ""
		}
		place := survey.Place{Note: p.F0}
		var known *traits.String
		odd := false
		if n != "" {
			s, err := st.String(ctx, n)
			if err != nil {
				return nil, err
			}
			if s.UnitWeight.Value > 0 {
				known, odd = &s.String, s.Disagree()
			}
			place.Like = fmt.Sprintf("%s at %v", n, float64(p.Length.Value))
		}
		on.strings, on.odd, on.as = append(on.strings, known), append(on.odd, odd), append(on.as, place)
	}
	if err := w.wishFor(ctx, st, on); err != nil {
		return nil, err
	}
	return on, nil
}

// wishFor finds what is wished for at each position.
func (w *surveying) wishFor(ctx context.Context, st *stock.Store, on *surveyed) error {
	on.wish, on.kept = w.wish.over(on.Instrument.Wish), len(w.wish.kinds()) == 0
	switch {
	case on.wish.Kind == stock.NoWish && w.wish.within.text != "":
		return &callError{"--within needs to know what from", "add --pull, --slope, --even or --like"}
	case on.wish.Kind == stock.NoWish:
		return nil
	case on.wish.Feel > 0:
		on.leftOut = fmt.Sprintf("the wish kept with %q is about how strings feel, not what they pull, and is left out here", on.Name)
		on.wish = stock.Wish{}
		return nil
	}
	wish, err := overPositions(ctx, st, on.wish, on.places, w.held.Ends)
	if err != nil {
		return err
	}
	on.targets = wish.Targets
	for i, t := range on.targets {
		if err := physics.Pull.Check(t); err != nil {
			return fmt.Errorf("position %d: %w", i+1, err)
		}
	}
	return on.stocked.read(ctx, st, weighed)
}

// rules are what the flags say of strings that are to be recognised.
func (w *surveying) rules() survey.Rules {
	return survey.Rules{Out: float64(w.out.Value), Down: float64(w.down.Value - w.up.Value), Good: float64(w.good.Value), InOrder: w.inOrder}
}

// listSurveys prints what sessions there are.
func (w *surveying) listSurveys(st *stock.Store) error {
	all, err := st.Surveys(context.Background())
	if err != nil {
		return err
	}
	for _, x := range all {
		if w.e.json {
			if err := writeLine(w.e.out, struct {
				Session    string    `json:"session"`
				Instrument string    `json:"instrument"`
				Plucks     int       `json:"plucks"`
				Last       time.Time `json:"last"`
			}{x.Name, x.Instrument, x.Plucks, x.Last.UTC()}); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(w.e.out, "%s  %s, %s, last %s\n", x.Name, x.Instrument, counted(x.Plucks, "pluck"), x.Last.Format(minute))
	}
	if len(all) == 0 && !w.e.json {
		fmt.Fprintln(w.e.out, "no instrument has been surveyed yet")
	}
	return nil
}
