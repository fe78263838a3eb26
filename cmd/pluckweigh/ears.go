package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/cmd/internal/view"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// ears are what the commands that hear have in common.
type ears struct {
	streams
	json      bool
	near      pitch
	reference frequency
	input     string
	seconds   seconds
	channel   int
	rate      frequency
	save      string
	overwrite bool
	verbose   bool
	recorder  string   // whose clock was calibrated
	sound     []string // flags that are of use only where something is heard
	carlo     bool     // a Monte Carlo propagation is asked for beside the budget

	listen   listener // nil for detect.Analyze, that of a bare string
	judge    judge
	stow     func(*answer) error            // keeps in the stock what was printed; nil for nothing
	expected physics.Frequency              // what near comes to
	printed  bool                           // a table, after which the next needs a blank line
	each     func(measured, detect.Pluck)   // called with each pluck that was measured while listening; may be nil
	told     func() (say string, json any)  // what came of the pluck that each was called with, in place of what is heard alone; may be nil
	soon     float64                        // s after which a pluck is measured while it still rings; 0 for none
	screened bool                           // what is heard live may be shown on a screen
	lines    bool                           // but is not wanted there
	title    string                         // of the screen
	caution  string                         // that stands on the screen; may be empty
	watching *watched                       // the screen, while there is one
	shown    func(*view.State, *view.Pluck) // adds to the screen what came of a pluck; may be nil
	endless  bool                           // listening goes on for as long as wanted, and old sound is forgotten
	ready    func()                         // called when a source has been opened, before anything is heard; may be nil
	plucked  func()                         // called while listening when a pluck has been measured that can be trusted; may be nil
}

// A listener is how a take is heard.
type listener func(x []float64, rate float64, o detect.Options) (detect.Take, error)

// newEars adds the flags that the commands that hear have in common.
func newEars(s streams, cmd *cobra.Command) *ears {
	e := &ears{
		streams:   s,
		reference: frequency{hz: physics.ConcertPitch, what: "reference pitch", least: 300, most: 600},
		rate:      frequency{what: "sample rate", least: audio.MinFileRate, most: audio.MaxFileRate},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.BoolVar(&e.json, "json", false, "print JSON lines in SI units")
	own := flagNames(f)
	f.Var(&e.near, "near", "note expected, like A1 or 55Hz: decides only what the sound leaves open")
	f.Var(&e.reference, "reference", "reference pitch: the frequency of A4")
	e.addSound(f)
	for _, name := range flagNames(f) {
		if !slices.Contains(own, name) {
			e.sound = append(e.sound, name)
		}
	}
	return e
}

func flagNames(f *pflag.FlagSet) []string {
	var names []string
	f.VisitAll(func(g *pflag.Flag) { names = append(names, g.Name) })
	return names
}

// addSound adds the flags that say which sound to take.
func (e *ears) addSound(f *pflag.FlagSet) {
	f.StringVar(&e.input, "input", "", "sound input to listen to, by (part of) its `name`; see pluckweigh devices")
	f.Var(&e.seconds, "seconds", "how long to listen, or how much of a take to measure")
	f.IntVar(&e.channel, "channel", 0, "`number` of the channel to take, from 1; 0 is the mean of all")
	f.Var(&e.rate, "rate", "sample rate of the sound input, like 48kHz (default its own)")
	f.StringVar(&e.save, "save", "", "keep what was heard in this WAV `file`")
	f.BoolVar(&e.overwrite, "overwrite", false, "let --save replace a file")
	f.BoolVar(&e.verbose, "verbose", false, "let through what the sound libraries say")
}

var errNothingOverwritten = &callError{"--overwrite has nothing to overwrite", "say where with --save TAKE.wav"}

const takes = "[TAKE...|-]"

// live tells whether the microphone is meant, given the takes named.
func (e *ears) live(cmd *cobra.Command, args []string) bool {
	return len(args) == 0 && (cmd.Flags().Changed("input") || !piped(e.in))
}

// piped tells whether something is sent to standard input.
func piped(r io.Reader) bool {
	f, ok := r.(*os.File)
	if !ok {
		return r != nil
	}
	info, err := f.Stat()
	return err == nil && (info.Mode()&os.ModeNamedPipe != 0 || info.Mode().IsRegular())
}

// check refuses flags that contradict each other or the takes named.
func (e *ears) check(cmd *cobra.Command, args []string) (err error) {
	if err := e.checkSound(cmd, args); err != nil {
		return err
	}
	if cmd.Flags().Changed("recorder") {
		if e.live(cmd, args) {
			return errRecorderLive
		}
		if err := e.checkRecorder(); err != nil {
			return err
		}
	}
	if e.expected, err = e.near.at(e.reference.hz); err != nil {
		return about("near", err)
	}
	return nil
}

// checkSound refuses flags of addSound that contradict each other or the takes named.
func (e *ears) checkSound(cmd *cobra.Command, args []string) error {
	given := cmd.Flags().Changed
	stdin := 0
	for _, a := range args {
		if a == "-" {
			stdin++
		}
	}
	switch {
	case stdin > 1:
		return &callError{"standard input is named twice", "name - once"}
	case given("input") && len(args) > 0:
		return &callError{"--input is a microphone, and a take is named too", "leave one of the two out"}
	case given("rate") && !e.live(cmd, args):
		return &callError{"--rate is for the microphone: a take has its own", "leave it out"}
	case given("save") && (e.save == "" || e.save == "-"):
		return &callError{"--save names no file", "write it like --save take.wav"}
	case given("overwrite") && !given("save") && !given("picture") && !given("sheet") && !given("csv"):
		return errNothingOverwritten
	case given("save") && len(args) > 1:
		return &callError{"--save keeps one take, and more are named", "name one take at a time"}
	case e.channel < 0:
		return &callError{"--channel must not be negative", "count channels from 1, or leave it out for the mean of all"}
	}
	return nil
}

// hear hears every take named, standard input or the microphone, and prints what
// the judge makes of each. Errors are printed as they come.
func (e *ears) hear(cmd *cobra.Command, args []string, j judge) error {
	if err := e.check(cmd, args); err != nil {
		return err
	}
	e.judge = j
	ctx := cmd.Context()
	if e.live(cmd, args) {
		return e.one(ctx, "", "")
	}
	if len(args) == 0 {
		args = []string{"-"}
	}
	worst := codeDone
	for i, name := range args {
		which := ""
		if len(args) > 1 {
			which = fmt.Sprintf("take %d of %d: ", i+1, len(args))
		}
		err := e.one(ctx, name, which)
		var lost unwritten
		switch {
		case errors.As(err, &lost):
			return err
		case err == nil && ctx.Err() != nil && i < len(args)-1:
			err = ctx.Err()
		}
		report(e.err, err)
		worst = graver(worst, exitCode(err))
		if ctx.Err() != nil {
			break
		}
	}
	return reported(worst)
}

// one hears one take, or the microphone for no name, and prints what came of it.
// The status line says which it is. With --json every take has its line, also one
// that failed.
func (e *ears) one(ctx context.Context, name, which string) error {
	_, err := e.tell(ctx, name, which, e.print)
	return err
}

// tell hears one take as one does, and has what came of it printed. The answer is
// nil where there is none, and the error nil only with one that is trusted.
func (e *ears) tell(ctx context.Context, name, which string, print func(*answer) error) (*answer, error) {
	line := newStatusLine(e.err)
	a, failed := e.answer(ctx, name, &progress{line: line, which: which})
	line.clear()
	var lost unwritten
	if errors.As(failed, &lost) {
		return a, failed
	}
	if a == nil && e.json {
		a = &answer{name: name, kind: e.judge.kind}
	}
	if a != nil {
		a.failed = failed
		if err := print(a); err != nil {
			return a, unwritten{err}
		}
	}
	if failed != nil {
		return a, failed
	}
	return a, a.untrusted()
}

// answer hears one take, or the microphone for no name. It may return both an
// answer and the error that ended the take before its time.
func (e *ears) answer(ctx context.Context, name string, p *progress) (*answer, error) {
	src, err := e.open(ctx, name)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	rec := &recording{name: name, rate: src.Rate()}
	e.setClock(rec, src)
	if e.ready != nil {
		e.ready()
	}
	if name == "" && e.save != "" {
		rec.name = e.save
	}
	w, err := e.keep(src.Rate())
	if err != nil {
		return nil, err
	}
	var show *live
	heard := ctx
	if name == "" {
		heard = e.watch(ctx)
		defer e.unwatch() // it may panic
		show = newLive(e, rec, src.Flaws, p.line)
	}
	failed := e.record(heard, src, rec, w, show, p)
	failed = errors.Join(failed, e.unwatch())
	src.Close() // what follows takes time
	if w != nil {
		if err := w.Close(); err != nil {
			failed = errors.Join(failed, failure{err})
		}
	}
	if show != nil {
		show.end()
	}
	// A file that fails midway is wrong input; what was heard of the world is
	// not to be had again.
	world := name == "" || name == "-"
	if failed != nil && (!world || len(rec.samples) == 0) {
		return nil, failed
	}
	if world {
		ctx = context.WithoutCancel(ctx) // being told to stop ended the take, not what is made of it
	}
	a, err := p.measure(ctx, e, rec)
	return a, errors.Join(failed, err)
}

// open opens a take, standard input for "-", or the microphone for no name.
func (e *ears) open(ctx context.Context, name string) (audio.Source, error) {
	o := audio.Options{Channel: e.channel}
	switch name {
	case "":
		return e.openMic(ctx, mic.Options{Device: e.input, Rate: float64(e.rate.hz), Channel: e.channel, Verbose: e.verbose})
	case "-":
		if f, ok := e.in.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
			return nil, &callError{"standard input is the terminal", "send it a WAV or FLAC take, or leave the - out to use the microphone"}
		}
		src, err := audio.NewReaderContext(ctx, e.in, o)
		var ae *audio.Error
		if errors.As(err, &ae) && ae.Name == "" {
			named := *ae
			named.Name = "standard input"
			return nil, &named
		}
		return src, err
	}
	return audio.OpenContext(ctx, name, o)
}

// keep starts the file that --save asks for, if any.
func (e *ears) keep(rate float64) (*audio.Writer, error) {
	switch {
	case e.save == "":
		return nil, nil
	case !exists(filepath.Dir(e.save)):
		return nil, noFolder(e.save)
	case e.overwrite:
		return audio.Overwrite(e.save, rate)
	}
	w, err := audio.Create(e.save, rate)
	if errors.Is(err, fs.ErrExist) {
		return nil, existsAlready(e.save)
	}
	return w, err
}

// noFolder is the error of a file that cannot be made for want of its folder.
func noFolder(name string) error {
	return &callError{name + ": no such folder", "make it first"}
}

func existsAlready(name string) error {
	return &callError{name + ": exists already", "choose another name, or add --overwrite"}
}
