package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"pluckweigh/calib"
	"pluckweigh/detect"
	"pluckweigh/physics"
)

// A figure is what a command works out from a reading.
type figure struct {
	label     string // for a person
	route     string // how it was come by; empty where there is only one way
	value, u  float64
	expanded  string // value and expanded uncertainty, for a person
	shift     string // how it differs from that of a pinned string, for a person; may be empty
	other     string // that another k than 2 stands for 95 %, and why, for a person; may be empty
	suits     string // which clips suit the string, for a person; may be empty
	clips     *clipForJSON
	dof       float64 // effective degrees of freedom, 0 for unlimited
	k         float64 // coverage factor for 95 %
	budget    physics.Budget
	proposals map[string]string     // how to know an input better
	improve   []physics.Improvement // what that would bring
	spread    *spread               // by Monte Carlo; nil where it was not asked for
	simulate  func() (*spread, error)

	build   []row   // what else a build decides; nil where none was given
	outlook outlook // what follows from it; empty where nothing was asked
	builds  *builds // what the string may be made of, in place of a value
	is      *isOne  // which string in stock it may be, beside the unit weight if that is known

	also    *figure        // what else comes out; nil for nothing
	remarks []detect.Doubt // on how it was come by
}

func figureOf[Q physics.Quantity](label, route string, r physics.Result[Q], proposals map[string]string) *figure {
	f := &figure{label: label, route: route, value: float64(r.Value), u: float64(r.U), expanded: expanded(r.Measured),
		dof: r.DoF, k: r.CoverageFactor(coverage), budget: r.Budget, proposals: proposals, improve: r.Improvements(),
		simulate: func() (*spread, error) { return spreadOf(r) }}
	switch {
	case f.k > manyEnough:
		f.other = fmt.Sprintf("few degrees of freedom (%.2g): %g %% takes k = %.2g", r.DoF, 100*coverage, f.k)
	case f.k < normalEnough:
		f.other = fmt.Sprintf("most of the ± is an input anywhere within limits: for %g %% k = %.3g is enough", 100*coverage, f.k)
	}
	for _, t := range r.Budget {
		than := "higher"
		if t.Shift < 0 {
			than = "lower"
		}
		if t.Shift != 0 { // only the ends shift
			f.shift = fmt.Sprintf("ends taken half-way between pinned and clamped: %s %s than pinned",
				physics.Format(Q(math.Abs(t.Shift)), r.Unit, 2), than)
		}
	}
	return f
}

// coverage is the probability that k = 2 is taken to stand for.
const coverage = 0.95

// Coverage factors for it beyond which k = 2 would mislead: that of ten degrees of
// freedom, and of an input anywhere within limits that makes three quarters of the
// variance.
const (
	manyEnough   = 2.23
	normalEnough = 1.83
)

// expanded prints a value with its expanded uncertainty, and the coverage factor
// where there is one.
func expanded[Q physics.Quantity](m physics.Measured[Q]) string {
	s := m.Expanded(physics.Coverage)
	if strings.Contains(s, "±") {
		s += fmt.Sprintf("  (k = %d)", physics.Coverage)
	}
	return s
}

// A judge works out from a reading what a command is about. It returns an
// *implausibleError for a result that no string could have.
type judge struct {
	kind kind
	work func(heard) (*figure, error) // nil where the reading is all
	late bool                         // it is done once all takes have been heard
	many bool                         // the takes are of different notes, so that none can be named
}

// A heard is a reading and the clock of the recorder that it comes from.
type heard struct {
	detect.Reading
	clock calib.Clock
}

// f0 is the fundamental, corrected by the recorder's clock.
func (r heard) f0() (physics.Measured[physics.Frequency], error) {
	f0, err := r.clock.True(r.F0)
	m := hertz(f0)
	m.DoF = r.DoF
	return m, err
}

// kind is what a command adds to a reading.
type kind int

const (
	readingOnly kind = iota
	ofTension
	ofUnitWeight
	ofOutlook
	ofBuilds
	ofLoads // a unit weight from several takes
	ofBoth  // the unit weight and, beside it, the tension
	ofIdentity
)

// An implausibleError says why a result is none.
type implausibleError struct{ say string }

func (e *implausibleError) Error() string { return e.say }

// An answer is all that is said of a take.
type answer struct {
	name   string
	take   detect.Take
	note   *physics.Note // nearest to the first partial; nil without a reading
	a4     physics.Frequency
	kind   kind
	many   bool           // as judge.many
	figure *figure        // nil where there is none
	hung   *hungString    // what the figure was made of, where several takes were heard
	doubts []detect.Doubt // on the take and the figure
	failed error          // what ended the take before its time
	clock  calib.Clock    // of the recorder
}

// measure measures a recording.
func (e *ears) measure(rec *recording) (*answer, error) {
	listen := e.listen
	if listen == nil {
		listen = detect.Analyze
	}
	take, err := listen(rec.samples, rec.rate, detect.Options{Near: float64(e.expected), Flaws: rec.damaged()})
	if err != nil {
		return nil, err
	}
	a := &answer{name: rec.name, take: take, a4: e.reference.hz, kind: e.judge.kind, many: e.judge.many, clock: rec.clock, doubts: slices.Concat(rec.doubts(), take.Doubts)}
	if take.Reading == nil {
		return a, nil
	}
	note, err := physics.NearestNote(physics.Frequency(take.Reading.F1.V), a.a4)
	if err != nil {
		return nil, err
	}
	a.note = &note
	if e.judge.work == nil {
		return a, nil
	}
	a.figure, err = e.judge.work(a.heard())
	var no *implausibleError
	if errors.As(err, &no) {
		a.doubts = append(a.doubts, detect.Doubt{Code: implausible, Say: no.say, Fatal: true})
		return a, nil
	}
	if a.figure != nil {
		a.doubts = append(a.doubts, a.figure.remarks...)
	}
	return a, err
}

// heard is what was heard, where there is a reading.
func (a *answer) heard() heard { return heard{*a.take.Reading, a.clock} }

// trusted tells whether the answer has what was asked for.
func (a *answer) trusted() bool {
	if a.kind == readingOnly {
		return a.take.Reading != nil
	}
	return a.figure != nil
}

// stretchOf is the string that a reading was heard of.
func stretchOf(r heard, length physics.Measured[physics.Length], held physics.Ends) (physics.Stretch, error) {
	f0, err := r.f0()
	if err != nil {
		return physics.Stretch{}, err
	}
	return physics.Stretch{
		Length: length,
		F0:     f0,
		B: physics.Measured[physics.Inharmonicity]{
			Value: physics.Inharmonicity(r.B.V), U: physics.Inharmonicity(r.B.U), Assumed: !r.BKnown,
		},
		Corr:  r.Corr,
		Clock: r.clock.Relative(),
		Ends:  held,
	}, nil
}

// untrusted is the error of an answer without what was asked for.
func (a *answer) untrusted() error {
	if a.trusted() {
		return nil
	}
	name := a.name
	switch name {
	case "":
		name = "microphone"
	case "-":
		name = "standard input"
	}
	if a.kind == ofLoads {
		name = "all loads together"
	}
	e := &untrusted{what: name + ": nothing was heard that can be trusted"}
	if a.take.Reading != nil || a.kind == ofLoads {
		e.what = name + ": the result cannot be trusted"
	}
	for _, d := range slices.Concat(a.doubts, a.fatal()) { // the material comes first: it may be why
		if e.do = a.remedy(d.Code); e.do != "" {
			break
		}
	}
	return e
}

// fatal lists the doubts that took the trust away.
func (a *answer) fatal() []detect.Doubt {
	var out []detect.Doubt
	for _, d := range a.doubts {
		if d.Fatal {
			out = append(out, d)
		}
	}
	for _, p := range a.take.Plucks {
		for _, d := range p.Doubts {
			if d.Fatal {
				out = append(out, d)
			}
		}
	}
	return out
}

// setAside says how many of a reading's plucks it was not made of, and why: a doubt
// for each kind of reason, in the words of the first that has it.
func setAside(plucks []detect.Pluck) []detect.Doubt {
	why := map[detect.Code]detect.Doubt{}
	at := map[detect.Code][]string{}
	var codes []detect.Code // in the order of the plucks
	for _, p := range plucks {
		i := slices.IndexFunc(p.Doubts, func(d detect.Doubt) bool { return d.Fatal })
		if i < 0 {
			continue
		}
		d := p.Doubts[i]
		if _, known := why[d.Code]; !known {
			why[d.Code] = d
			codes = append(codes, d.Code)
		}
		at[d.Code] = append(at[d.Code], fmt.Sprintf("%.2f", p.Start))
	}
	var out []detect.Doubt
	for _, c := range codes {
		were := "were"
		if len(at[c]) == 1 {
			were = "was"
		}
		out = append(out, detect.Doubt{Code: c, Say: fmt.Sprintf("%d of %d plucks %s set aside, at %s s: %s",
			len(at[c]), len(plucks), were, strings.Join(at[c], ", "), why[c].Say)})
	}
	return out
}

// remedy says what to do about a doubt, empty where nothing is known to help.
func (a *answer) remedy(c detect.Code) string {
	if do := unnamed[c]; do != "" && a.many {
		return do
	}
	return remedies[c]
}

// unnamed are remedies where no note can be named.
var unnamed = map[detect.Code]string{
	detect.OctaveOpen: "pluck nearer one end and let the string ring, so that more partials are heard",
	implausible:       "check the numbers and units given, and that each take is of this string",
}

// remedies say what to do about a doubt.
var remedies = map[detect.Code]string{
	detect.Clipped:      "lower the input level, or pluck more softly",
	detect.TooShort:     "let the string ring for two seconds or more",
	detect.TooQuiet:     "pluck louder, move closer, or raise the input level",
	detect.OctaveOpen:   "name the note expected, as in --near A1",
	detect.TwoStrings:   "damp all strings but one",
	detect.Hum:          "move away from mains leads and transformers, or pluck louder",
	detect.NotAString:   "pluck one string once, damp the others, and let it ring; other sounds cannot be measured",
	detect.Unsteady:     "leave the tuner and the string alone while it rings",
	detect.Overrun:      "record the take again; if it comes from the microphone, close other programs",
	detect.NothingHeard: "pluck one string and let it ring for two seconds or more",
	detect.Misplaced:    "give the clip's place as it is, or leave --clip-at out",
	detect.Misfit:       "fix a shorter, lower clip firmly, and damp the other strings",
	detect.NoShift:      "clip a mass of 2 to 9 % of the string's on at the middle, see --clip-for, and pluck near one end",
	notFinite:           "the file is damaged, or was written wrongly: export or record it again",
	tooLarge:            "the file is damaged, or was written wrongly: export or record it again",
	cancelled:           "take one of the channels alone, as in --channel 1",
	noLine:              "check which take belongs to which load, that each is of this string, and hang loads further apart, none so light that the string is slack",
	tooFew:              "hear the loads left out again: pluck one string once, and let it ring for two seconds or more",
	implausible:         "check the numbers and units given, and name the note expected with --near",
}
