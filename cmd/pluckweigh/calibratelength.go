package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/spf13/cobra"

	"pluckweigh/calib"
	"pluckweigh/physics"
)

// A lengthening is the finding of a speaking length by sound.
type lengthening struct {
	e       *ears
	scale   quantity[physics.Length]
	between quantity[physics.Length]
	uneven  cents
	weight  quantity[physics.UnitWeight]
	pull    load
	gravity gravity // what a mass pulls by
}

func newCalibrateLength(s streams) *cobra.Command {
	l := &lengthening{
		scale:   quantity[physics.Length]{role: physics.SpeakingLength},
		between: quantity[physics.Length]{role: physics.FretDistance},
		weight:  quantity[physics.UnitWeight]{role: physics.StringWeight},
		pull:    load{role: physics.Pull},
		gravity: gravity{Measured: physics.AnyGravity()},
	}
	cmd := &cobra.Command{
		Use:   "length NAME (--scale LENGTH FRET:TAKE FRET:TAKE | --between LENGTH FRET:TAKE FRET:TAKE | --pull FORCE --unit-weight WEIGHT TAKE)",
		Short: "Find a string's speaking length by sound, what the ends do included",
		Long: `length finds how long a string is that sounds the same and has pinned ends, and keeps
it under a name that --scale takes wherever a string is heard. What clamped ends and a
bridge that gives do to the pitch is part of that length, so that nothing need be
assumed of the ends. By one of two ways:

Two takes of one string, stopped at two frets (0 is the open string) at one tuning,
and the nominal scale that the frets are spaced for, or the distance between the two
frets. With --scale it is the open string's length; with --between that at the lower
fret. Pressing a string down stretches it, unevenly at two frets, which the two
pitches cannot tell from length: 3 cents are assumed unless --uneven says, and cost
0.17 % of the length with frets 0 and 12, more with frets that are closer.

A take under a known pull of a string of known unit weight.`,
		Example: `  pluckweigh calibrate length low-E --scale 34in 0:open.wav 12:octave.wav
  pluckweigh calibrate length low-E --between 431.8mm±0.2mm 0:open.wav 12:octave.wav
  pluckweigh calibrate length bench --pull 163.2N±0.1N --unit-weight 18.34g/m±0.05% take.wav
  pluckweigh tension --scale low-E --unit-weight 18.4g/m take.wav`,
		RunE: func(cmd *cobra.Command, args []string) error { return l.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.Var(&l.scale, "scale", "nominal scale that the frets are spaced for, like 34in")
	f.Var(&l.between, "between", "distance from one fret to the other (from the nut for 0), like 431.8mm±0.2mm")
	f.Var(&l.uneven, "uneven", "by how many cents more fretting may raise one pitch than the other, standard uncertainty (default 3)")
	f.Var(&l.pull, "pull", "known pull, like 163N±0.2N, or a hanging mass, like 16.6kg±5g")
	l.gravity.addTo(f)
	f.Var(&l.weight, "unit-weight", "mass per length, like 18.4g/m±0.1%")
	l.e = newEars(s, cmd)
	l.e.addRecorder(cmd)
	l.e.offerMonteCarlo(cmd)
	return cmd
}

func (l *lengthening) run(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &callError{"length needs a name to keep it under", "write it like `pluckweigh calibrate length low-E --scale 34in 0:open.wav 12:octave.wav`"}
	}
	name, takes := args[0], args[1:]
	if !named(name) {
		return &callError{fmt.Sprintf("%q is no name for a length: a name begins with a letter", name), "name the string first, like low-E, and then the takes"}
	}
	fretted, loaded := l.scale.given || l.between.given, l.pull.given || l.weight.given
	switch {
	case fretted == loaded:
		return &callError{"length goes by two frets or by a known pull", "give --scale or --between and two takes, or --pull and --unit-weight and one"}
	case l.scale.given && l.between.given:
		return &callError{"--scale and --between say the same", "leave one of the two out"}
	case loaded && !(l.pull.given && l.weight.given):
		return &callError{"a known pull and the unit weight go together", "give both --pull and --unit-weight"}
	case l.gravity.text != "" && !l.pull.Weighs():
		return &callError{"--gravity is for a mass that hangs", "leave it out, or give --pull as a mass, like 16.6kg"}
	case loaded && l.uneven > 0:
		return &callError{"--uneven is for frets", "leave it out"}
	case l.e.save != "" && fretted:
		return &callError{"--save keeps what a microphone heard, and takes are named", "leave it out"}
	case fretted && len(takes) != 2:
		return &callError{"two takes are needed, each with its fret", "write them like 0:open.wav 12:octave.wav"}
	case loaded && len(takes) > 1:
		return &callError{"one take is needed, and more are named", "name one take"}
	}
	if fretted {
		return l.byFrets(cmd, name, takes)
	}
	return l.byPull(cmd, name, takes)
}

// named tells whether s can be the name of a length, as no length is written.
func named(s string) bool {
	_, err := strconv.ParseFloat(s, 64) // NaN and its kin
	return err != nil && s != "" && unicode.IsLetter([]rune(s)[0])
}

// byFrets finds the length from two takes like 0:open.wav.
func (l *lengthening) byFrets(cmd *cobra.Command, name string, takes []string) error {
	s := physics.Fretted{Scale: l.scale.Measured, Between: l.between.Measured, Uneven: physics.UnevenAssumed()}
	if l.uneven > 0 {
		s.Uneven = physics.Relative{U: physics.UnevenCents(float64(l.uneven))}
	}
	var frets [2]int
	var files [2]string
	for i, t := range takes {
		number, file, ok := strings.Cut(t, ":")
		fret, err := strconv.Atoi(number)
		if !ok || err != nil || file == "" {
			return &callError{fmt.Sprintf("%q does not say its fret", t), "write it like 12:" + t + ", 0 being the open string"}
		}
		frets[i], files[i] = fret, file
	}
	if frets[0] > frets[1] {
		frets[0], frets[1], files[0], files[1] = frets[1], frets[0], files[1], files[0]
	}
	s.Low, s.High = frets[0], frets[1]
	if err := s.CheckFrets(); err != nil {
		return err
	}
	if err := l.e.check(cmd, files[:]); err != nil {
		return err
	}
	keep, err := newKeeper(l.e.streams, l.e.json)
	if err != nil {
		return err
	}
	for i, at := range []*physics.Measured[physics.Frequency]{&s.AtLow, &s.AtHigh} {
		r, err := l.e.reading(cmd.Context(), files[i], fmt.Sprintf("take %d of 2: ", i+1))
		if err != nil {
			return err
		}
		*at = hertz(r.F0) // the clock cancels
		at.DoF = r.DoF
	}
	found, err := s.Length()
	how := fmt.Sprintf("from the nominal scale of %s, frets %d and %d", s.Scale.Expanded(1), s.Low, s.High)
	if l.between.given {
		how = fmt.Sprintf("at fret %d, from the distance of %s to fret %d", s.Low, s.Between.Expanded(1), s.High)
	}
	return l.keep(keep, name, how, found, err)
}

// byPull finds the length from a take under a known pull.
func (l *lengthening) byPull(cmd *cobra.Command, name string, takes []string) error {
	if err := l.e.check(cmd, takes); err != nil {
		return err
	}
	pull, err := l.pull.Under(l.gravity.Measured)
	if err != nil {
		return about("pull", err)
	}
	file := "-"
	switch {
	case len(takes) > 0:
		file = takes[0]
	case l.e.live(cmd, takes):
		file = ""
	}
	keep, err := newKeeper(l.e.streams, l.e.json)
	if err != nil {
		return err
	}
	fmt.Fprintln(l.e.err, caution)
	r, err := l.e.reading(cmd.Context(), file, "")
	if err != nil {
		return err
	}
	f0, err := r.f0()
	if err != nil {
		return err
	}
	found, err := physics.Loaded{UnitWeight: l.weight.Measured, Pull: pull.Measured, F0: f0, Clock: r.clock.Relative()}.Length()
	if err == nil && l.pull.Weighs() {
		found, err = physics.Traced(found, string(physics.Pull), pull)
	}
	how := fmt.Sprintf("from a pull of %s and a unit weight of %s", pull.Expanded(1), l.weight.Expanded(1))
	return l.keep(keep, name, how, found, err)
}

// keep keeps a length that was found.
func (l *lengthening) keep(k *keeper, name, how string, found physics.Result[physics.Length], err error) error {
	if err == nil {
		err = physics.SpeakingLength.Check(found.Value)
	}
	if err != nil {
		return err
	}
	k.figure = figureOf("speaking length", "", found, map[string]string{
		"stretch by fretting": "press lightly, and say how unevenly, as in --uneven 1; take frets that are farther apart; or weigh the string and use a known pull",
		"scale":               "measure between the two frets, as in --between 431.8mm±0.2mm",
		"fret distance":       "measure it closer, and give the tolerance, as in --between 431.8mm±0.2mm",
		"pull":                "weigh what hangs on a balance, and give the tolerance, as in --pull 163N±0.2N or 16.6kg±5g",
		"gravity":             gravityProposal,
		"unit weight":         "weigh the string (pluckweigh weigh), and give the tolerance, as in --unit-weight 18.4g/m±0.1%",
		"recorder clock":      clockProposal,
	})
	if l.e.carlo {
		if err := k.figure.draw(); err != nil {
			return err
		}
	}
	return k.keep(calib.LengthEntry(name, found.Measured, how, time.Now()))
}

// reading is what is heard of a take, live for no name, with the recorder's clock.
func (e *ears) reading(ctx context.Context, name, which string) (heard, error) {
	e.judge = judge{late: true}
	line := newStatusLine(e.err)
	a, err := e.answer(ctx, name, &progress{line: line, which: which})
	line.clear()
	if err == nil {
		err = a.untrusted()
	}
	if err != nil {
		return heard{}, err
	}
	return a.heard(), nil
}

// cents is a flag that takes an interval; its name says the unit, which may be typed.
type cents float64

func (v *cents) Set(s string) error {
	f, err := strconv.ParseFloat(strings.TrimSuffix(s, "cents"), 64)
	if err != nil || !(f > 0 && f <= 100) {
		return &physics.InputError{What: "cents", Text: s, Why: "is not a number above zero and up to 100", Fix: "write it like 2"}
	}
	*v = cents(f)
	return nil
}

func (v *cents) String() string {
	if *v == 0 {
		return ""
	}
	return strconv.FormatFloat(float64(*v), 'g', -1, 64)
}
func (v *cents) Type() string { return "cents" }
