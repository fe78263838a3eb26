package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/lesson"
	"pluckweigh/physics"
)

// teaching holds the flags of a lesson, and what they come to.
type teaching struct {
	e       *ears
	of      *lesson.Lesson
	points  string
	listen  bool
	aside   asides
	sheet   string
	csv     string
	picture picture
	told    map[string]*axis // by the names of the lesson's givens
	warm    warming          // what warmth does to the string, where the lesson asks that
	given   func(flag string) bool
}

// An axis is a flag that takes what is told once for all points.
type axis struct {
	lesson.Axis
	lesson.Value
	text string
}

func (v *axis) Set(s string) (err error) {
	v.Value, err = v.Axis.Parse(s)
	v.text = s
	return err
}
func (v *axis) String() string { return v.text }
func (v *axis) Type() string   { return "quantity" }

// asides is a flag that takes the numbers of points that are not to count, from 1.
type asides []int

func (v *asides) Set(s string) error {
	for _, t := range strings.Split(s, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(t))
		if err != nil || n < 1 {
			return &physics.InputError{What: "point", Text: t, Why: "is no number of one", Fix: "count them from 1, as in --aside 3 or --aside 3,5"}
		}
		*v = append(*v, n)
	}
	return nil
}
func (v *asides) String() string { return strings.Trim(fmt.Sprint([]int(*v)), "[]") }
func (v *asides) Type() string   { return "number" }
func (*asides) repeats()         {}

// givenFlags names the flags of what a lesson is told once.
var givenFlags = map[string]string{
	string(physics.SpeakingLength): "scale",
	string(physics.StringWeight):   "unit-weight",
	"start of the rule":            "rule",
}

func newLesson(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "lesson",
		Short: "Measure what the textbook says of a string, in a class",
		Long: `lesson has guided experiments with a plucked string: what to do, what is expected and by
whom, the points as they are measured, the line through them with its uncertainty, what is
left over, and a verdict in words: the data agree with the law, they contradict it, or
they do not show it, and then what to measure next.

` + "`pluckweigh lesson NAME`" + ` says what to do. Points come from takes, each with what was told of
it, from the microphone (--listen), from numbers typed by hand, or from a list (--points).
Uncertainties go by how the points scatter about the line, by Student's t for as many
degrees of freedom as there are, and by what all points share: 95 of 100 classes have the
truth in their interval, also where they measure worse than they think.`,
		Example: `  pluckweigh lesson
  pluckweigh lesson length
  pluckweigh lesson length 650mm:a.wav 550mm:b.wav 450mm:c.wav 350mm:d.wav
  pluckweigh lesson tension 1kg=98.1Hz 2kg=138.9Hz 3kg=170.0Hz 4kg=196.4Hz --sheet tension.html
  pluckweigh lesson stiffness --listen --picture stiffness.svg`,
		Args: unknownCommand,
		RunE: func(cmd *cobra.Command, _ []string) error { return listLessons(s, cmd) },
	}
	root.Flags().Bool("json", false, "print JSON, a line for each lesson")
	for _, l := range lesson.All() {
		root.AddCommand(newOneLesson(s, l))
	}
	return root
}

// listLessons prints what there is.
func listLessons(s streams, cmd *cobra.Command) error {
	asJSON, err := cmd.Flags().GetBool("json")
	if err != nil {
		return err
	}
	for _, l := range lesson.All() {
		if asJSON {
			if err := writeLine(s.out, l); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(s.out, "%-12s  %s\n", l.ID, l.Question)
	}
	if !asJSON {
		fmt.Fprintln(s.err, "`pluckweigh lesson NAME` says what to do and what is expected")
	}
	return nil
}

func newOneLesson(s streams, l *lesson.Lesson) *cobra.Command {
	w := &teaching{of: l, told: map[string]*axis{}}
	use, typed := l.ID, w.example("=")
	if len(l.Asked()) > 0 {
		use += " [X:TAKE...] [X=Y...]"
	} else {
		use += " [TAKE...] [X=Y...]"
	}
	cmd := &cobra.Command{
		Use: use, Short: l.Title,
		Long: describe(l) + `

Points, as you have them:
  takes     ` + w.example(":") + `
  by hand   ` + typed + `
  a list    --points FILE.csv that begins with the line
            ` + l.Example(true) + `
            or ` + l.Example(false) + `
  live      --listen
A tolerance may follow a number, as in 1.5±0.1 with its units: a standard uncertainty, k = 1.
Without points --sheet writes one to fill in by hand.`,
		Example: fmt.Sprintf("  pluckweigh lesson %s\n  pluckweigh lesson %s %s ... --sheet %s.html", l.ID, l.ID, w.example(":"), l.ID),
		RunE:    func(cmd *cobra.Command, args []string) error { return w.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.BoolVar(&w.listen, "listen", false, "listen to the microphone, one point after the other")
	f.StringVar(&w.points, "points", "", "CSV `file` of points or of takes")
	f.Var(&w.aside, "aside", "number of a point that is not to count, and stays to be seen, as in 3 or 3,5")
	w.addGivens(f)
	f.StringVar(&w.sheet, "sheet", "", "write a page to print in this HTML `file`")
	f.StringVar(&w.csv, "csv", "", "write the points as a list in this `file`, which --points reads")
	w.picture.addTo(f, "points, law and what is left over")
	w.e = newEars(s, cmd)
	f.Lookup("overwrite").Usage = "replace files that are there already"
	f.MarkHidden("save") // of no use here, which is said to who gives it
	return cmd
}

// addGivens adds flags for what the lesson is told once.
func (w *teaching) addGivens(f *pflag.FlagSet) {
	for _, a := range w.of.Givens {
		if a.Name == lesson.Warmth {
			w.warm.addTo(f)
			continue
		}
		v := &axis{Axis: a}
		w.told[a.Name] = v
		says := a.Name + ", like " + a.Example
		if a.Says != "" {
			says += ": " + a.Says
		}
		f.Var(v, givenFlags[a.Name], says)
	}
}

func (w *teaching) run(cmd *cobra.Command, args []string) error {
	w.given = cmd.Flags().Changed
	w.warm.given = w.given
	if err := w.check(cmd, args); err != nil {
		return err
	}
	if len(args) == 0 && w.points == "" && !w.listen {
		return w.introduce(cmd)
	}
	c, err := w.gather(cmd, args)
	if err != nil && (c == nil || len(c.points) == 0) {
		return err
	}
	report(w.e.err, err) // what there is, is told all the same
	if told := w.tell(c); told != nil {
		return told
	}
	return reportedAs(err)
}

// check refuses flags that contradict each other, before anything is heard.
func (w *teaching) check(cmd *cobra.Command, args []string) error {
	switch {
	case w.listen && w.points != "":
		return &callError{"--listen and --points both say where points come from", "leave one of the two out"}
	case w.points != "" && len(args) > 0:
		return &callError{"points are named, and --points is given", "leave one of the two out"}
	case w.given("points") && w.points == "":
		return &callError{"--points names no file", "write it like --points points.csv"}
	case w.given("save"):
		return &callError{"lesson keeps points, not the sound", "leave --save out; listen keeps a take"}
	case w.given("near") && !w.of.Many && w.of.ID != "glide":
		return &callError{"--near names one note, and each point has its own", "leave it out"}
	case w.given("sheet") && (w.sheet == "" || w.sheet == "-"):
		return &callError{"--sheet names no file", "write it like --sheet " + w.of.ID + ".html"}
	case w.given("csv") && (w.csv == "" || w.csv == "-"):
		return &callError{"--csv names no file", "write it like --csv " + w.of.ID + ".csv"}
	case w.sheet != "" && (w.sheet == w.picture.name || w.sheet == w.csv) || w.csv != "" && w.csv == w.picture.name:
		return &callError{"--sheet, --csv and --picture name one file twice", "name a file for each"}
	case w.e.overwrite && w.sheet == "" && w.csv == "" && w.picture.name == "":
		return &callError{"--overwrite has nothing to overwrite", "name a file with --sheet, --csv or --picture"}
	case w.given("input") && !w.listen:
		return &callError{"--input is a microphone, and nothing is listened to", "add --listen"}
	}
	for _, a := range w.of.Givens {
		if v := w.told[a.Name]; v != nil && !a.Optional && v.text == "" && (len(args) > 0 || w.points != "" || w.listen) {
			return &callError{fmt.Sprintf("the lesson takes the %s", a.Name), fmt.Sprintf("add it, as in --%s %s", givenFlags[a.Name], a.Example)}
		}
	}
	if w.warm.given != nil && slices.Contains(givenNames(w.of), lesson.Warmth) {
		if err := w.warm.check(); err != nil {
			return err
		}
	}
	for _, name := range []string{w.sheet, w.csv} {
		if name == "" {
			continue
		}
		if err := writable(name, w.e.overwrite); err != nil {
			return err
		}
	}
	return w.picture.check(w.e.overwrite)
}

func givenNames(l *lesson.Lesson) (names []string) {
	for _, a := range l.Givens {
		names = append(names, a.Name)
	}
	return names
}

// givens are what was told once for all points; hz is a pitch of the string.
func (w *teaching) givens(hz float64) (lesson.Givens, error) {
	g := lesson.Givens{}
	for name, v := range w.told {
		if v.text != "" {
			g[name] = v.Value
		}
	}
	if slices.Contains(givenNames(w.of), lesson.Warmth) && hz > 0 {
		warm, err := w.warm.at(physics.Frequency(hz))
		if err != nil {
			return nil, err
		}
		if warm != nil {
			g[lesson.Warmth] = lesson.Value{V: warm.Cents, U: warm.U}
		}
	}
	return g, nil
}
