package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/physics"
	"pluckweigh/settle"
	"pluckweigh/settle/diary"
	"pluckweigh/stock"
)

// settling holds the flags of settle, and what they come to.
type settling struct {
	e           *ears
	file        stockFile
	session     string
	show        bool
	sessions    bool
	demo        bool
	readings    string
	fileTimes   bool
	temperature string
	warm        warming
	event       string
	within      quantity[physics.PitchInterval]
	ahead       lasting
	picture     picture
	given       func(flag string) bool

	store  *stock.Store // where the session is kept; nil for nowhere
	typed  *diary.Celsius
	thermo diary.Thermometer
	zone   *time.Location
	now    time.Time // when the call was made
}

// newSettling is the watching of a string as it is where no flag says more.
func newSettling() *settling {
	w := &settling{within: quantity[physics.PitchInterval]{role: tolerated}, ahead: lasting(time.Hour), zone: time.Local}
	w.within.Value, w.within.text = 1, "1cent"
	return w
}

func newSettle(s streams) *cobra.Command {
	w := newSettling()
	cmd := &cobra.Command{
		Use:   "settle [TAKE@TIME...]",
		Short: "Watch a string settle, and hear whether it will hold its pitch",
		Long: `settle watches the pitch of one string over minutes to days: what law it follows
(it stays, a line, creep by the logarithm of time, an exponential recovery), how fast it
still drifts, where it stepped (a slipped peg, a bend), and whether it will stay within
--within for --for: "yes", "not yet, about 40 minutes" or "cannot tell yet".

Without takes it listens to the microphone for as long as you like: pluck the string by
itself now and then, no key is needed; Ctrl-C gives the answer. On a terminal it draws a
screen: the pitch in digits that are read from a step away, the course with its law and
band, and the verdict; --lines prints lines instead, as for listen. Each pluck is kept at
once, in the session that --session names or one named by date, and outlasts a crash. The
same --session continues it, --show answers from what is kept, --sessions lists them.

Takes are files with the time at which each began: a.wav@2026-11-28T14:02, or since the
beginning, a.wav@0min b.wav@40min; or a list, --readings FILE.csv, with a line for each:

    time,take                              time,pitch (Hz),u (cents),temperature (°C)
    2026-11-28 14:02,a.wav                 0min,82.413,0.05,21.3

A file's own date is that of its last change, which a copy may have lost: it is used only
with --file-times. Every pluck of a take is a reading of its own.

Temperature: --temperature 21.5°C says what it is now, --temperature FILE.csv what it was
(time,temperature (°C)). It is taken out by what warmth does to this string: --warmth, or
worked out from what the string is, as in whatif (--scale and --gauge and --material, or
--core, --material and --pull or --unit-weight; --frame).

--event TIME says when something was done to the string: heavy playing, bends, a new
tuning. Then the pitch before and after is compared, and what follows it is told by itself.
"now" is when this call listens.

Readings that are something else count for little and are shown; a step takes three
readings on each side. Forecasts hold for the same temperature and if nothing steps.
Results carry twice their standard uncertainty, k = 2.

` + caution,
		Example: `  pluckweigh settle --session "tenor E" --near E2
  pluckweigh settle --session "tenor E" --show --picture settle.svg
  pluckweigh settle a.wav@0min b.wav@10min c.wav@20min d.wav@40min
  pluckweigh settle --readings day.csv --scale 648mm --gauge 0.254mm --material steel
  pluckweigh settle --demo`,
		RunE: func(cmd *cobra.Command, args []string) error { return w.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&w.session, "session", "", "keep the readings under this `name`, or continue it")
	f.BoolVar(&w.show, "show", false, "hear nothing more: answer from what the session has")
	f.BoolVar(&w.sessions, "sessions", false, "list the sessions")
	f.StringVar(&w.readings, "readings", "", "CSV `file` of times with takes or pitches")
	f.BoolVar(&w.fileTimes, "file-times", false, "take the files' own dates for the times")
	f.StringVar(&w.temperature, "temperature", "", "what it is now, like 21.5°C or 70°F, or a CSV `file` of times and temperatures")
	f.StringVar(&w.event, "event", "", "`time` at which something was done to the string, or now")
	f.Var(&w.within, "within", "how far the pitch may move, like 1cent")
	f.Var(&w.ahead, "for", "and for how long, like 60min")
	w.picture.addTo(f, "the course")
	f.BoolVar(&w.demo, "demo", false, "show it on an invented string")
	w.warm.addTo(f)
	w.file.addTo(f)
	w.e = newEars(s, cmd)
	w.e.offerScreen(cmd)
	return cmd
}

// tolerated is what a pitch may move by.
const tolerated physics.Role[physics.PitchInterval] = "tolerance of the pitch"

// A lasting is a flag that takes a length of time.
type lasting time.Duration

func (v *lasting) Set(s string) error {
	d, err := diary.ParseLasting(s)
	if err == nil && d <= 0 {
		err = &physics.InputError{What: "time", Text: s, Why: "is none", Fix: "write it like 60min"}
	}
	*v = lasting(d)
	return err
}

func (v *lasting) String() string { return lasted(time.Duration(*v).Seconds()) }
func (v *lasting) Type() string   { return "time" }

func (w *settling) run(cmd *cobra.Command, args []string) error {
	w.given, w.now = cmd.Flags().Changed, time.Now()
	w.warm.given = w.given
	if err := w.check(cmd, args); err != nil {
		return err
	}
	if w.sessions {
		return w.file.read(cmd.Context(), w.listSessions)
	}
	event, err := w.eventTime()
	if err != nil {
		return err
	}
	if err := w.readTemperature(); err != nil {
		return err
	}
	all, remarks, err := w.gather(cmd.Context(), args)
	var lost unwritten
	if errors.As(err, &lost) || err != nil && len(all) == 0 {
		return err
	}
	report(w.e.err, err) // what there is, is told all the same
	told := w.tell(all, event, remarks)
	if told == nil {
		return err
	}
	return errors.Join(told, reportedAs(err))
}

// reportedAs is the exit code of an error that has been printed, nil for none.
func reportedAs(err error) error {
	if err == nil {
		return nil
	}
	return reported(exitCode(err))
}

// check refuses flags that contradict each other, before anything is heard.
func (w *settling) check(cmd *cobra.Command, args []string) error {
	sources := 0
	for _, is := range []bool{len(args) > 0, w.readings != "", w.show, w.demo, w.sessions} {
		if is {
			sources++
		}
	}
	switch {
	case sources > 1:
		return &callError{"takes, --readings, --show, --demo and --sessions each say where readings come from", "name one of them; add takes to a session first, then --show it"}
	case w.show && w.session == "":
		return &callError{"--show needs to know which session", "add --session NAME; --sessions lists them"}
	case w.given("session"):
		if err := stock.CheckSession(w.session); err != nil {
			return about("session", err)
		}
	case w.given("stock") && !w.sessions && !w.live(args):
		return &callError{"--stock is of no use without a session", "name one, as in --session E"}
	}
	switch {
	case w.given("save"):
		return &callError{"settle keeps pitches, not the sound", "leave --save out; listen keeps a take"}
	case w.fileTimes && len(args) == 0:
		return &callError{"--file-times is for takes, and none is named", "name them, as in *.wav"}
	case w.live(args) && piped(w.e.in) && !w.given("input"):
		return &callError{"settle takes nothing from standard input", "name the takes with their times, as in a.wav@0min, or --input for the microphone"}
	case w.demo && (w.given("session") || w.given("temperature") || w.given("event")):
		return &callError{"--demo is about an invented string", "leave --session, --temperature and --event out"}
	}
	if !w.live(args) && !(len(args) > 0 || w.readings != "") {
		for _, flag := range w.e.sound {
			if w.given(flag) && flag != "reference" && flag != "overwrite" {
				return &callError{fmt.Sprintf("nothing is heard, but --%s is for sound", flag), "leave it out"}
			}
		}
	}
	files := slices.Clone(args)
	if w.readings != "" {
		files = []string{w.readings}
	}
	if err := w.e.check(cmd, files); err != nil {
		return err
	}
	if err := w.warm.check(); err != nil {
		return err
	}
	return w.picture.check(w.e.overwrite)
}

// live tells whether the microphone is listened to.
func (w *settling) live(args []string) bool {
	return len(args) == 0 && w.readings == "" && !w.show && !w.demo && !w.sessions
}

// eventTime reads --event; nil stands for none.
func (w *settling) eventTime() (*diary.When, error) {
	switch {
	case !w.given("event"):
		return nil, nil
	case w.event == "now":
		return &diary.When{Time: w.now}, nil
	}
	at, err := diary.ParseWhen(w.event, w.zone)
	if err != nil {
		return nil, about("event", err)
	}
	return &at, nil
}

// listSessions prints what sessions there are.
func (w *settling) listSessions(st *stock.Store) error {
	all, err := st.Sessions(context.Background())
	if err != nil {
		return err
	}
	for _, x := range all {
		if w.e.json {
			if err := writeLine(w.e.out, sessionJSON{x.Name, x.Pitches, x.First.UTC(), x.Last.UTC()}); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(w.e.out, "%s  %s from %s to %s\n", x.Name, counted(x.Pitches, "reading"), x.First.Format(minute), x.Last.Format(minute))
	}
	if len(all) == 0 && !w.e.json {
		fmt.Fprintln(w.e.out, "no string has been watched yet")
	}
	return nil
}

// minute is how moments are printed.
const minute = "2006-01-02 15:04"

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// few tells of too few readings as of what cannot be trusted.
func few(err error) error {
	var e *settle.TooFewError
	if errors.As(err, &e) {
		return &untrusted{e.Error(), e.Hint()}
	}
	return err
}
