package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/safety"
)

// hangCaution stands before weights are hung.
const hangCaution = caution + "\n" + safety.Fall

// hanging is weighing by several loads.
type hanging struct {
	*weighing
	hangs   hangs
	common  share
	picture picture
	taking  bool // loads are taken off and not added
}

// byHang weighs a string by its sound under several loads.
func (w *weighing) byHang(f *pflag.FlagSet) way {
	h := &hanging{weighing: w, common: share{what: "tolerance of all loads"}}
	f.Var(&h.hangs, "hang", "a load and its take, like 2kg:a.wav or 20N±0.1%:b.wav, once for each; without a take, listen")
	f.Var(&h.common, "common", "standard uncertainty that all loads share, as weights of one set may, like ±0.05%")
	h.picture.addTo(f, "the line through the loads")
	own := []string{"hang", "common", "picture"}
	return way{
		say:   "hear it under several loads: f0² rises with the load by 1 / (4 µ L²)",
		marks: own, needs: []string{"hang", "scale"}, takes: []string{"ends", "gravity", "rig", "material", monteCarlo}, hears: true,
		weigh: h.weigh,
	}
}

func (h *hanging) weigh(cmd *cobra.Command, args []string) error {
	if err := h.hangs.add(args); err != nil {
		return err
	}
	if cmd.Flags().Changed("near") {
		return &callError{"--near names one note, and each load has its own", "leave it out"}
	}
	files, err := h.hangs.files(h.gravity.Value)
	if err != nil {
		return err
	}
	var remarks []detect.Doubt
	switch {
	case h.common.U > 0 && h.rig.Name != "":
		return &callError{"--common and --rig both say what the loads share", "leave one of the two out"}
	case h.common.U == 0:
		remarks = h.rig.settle(h.hangs.weigh())
	}
	if err := h.e.check(cmd, files); err != nil {
		return err
	}
	if err := h.picture.check(h.e.overwrite); err != nil {
		return err
	}
	fmt.Fprintln(h.e.err, hangCaution)
	h.e.screened = false // what to hang next is asked in lines
	all, err := h.hear(cmd.Context(), h.hangs, len(files) == 0, h.e.printJSON)
	if err != nil {
		return err
	}
	return h.conclude(all, remarks)
}

// taken is what was heard under a load.
type taken struct {
	hung
	answer *answer
	err    error // why it is not to be trusted
}

// hear hears what sounds under loads, live or from files, and has each take printed.
func (h *hanging) hear(ctx context.Context, loads hangs, live bool, print func(*answer) error) ([]taken, error) {
	if live {
		return h.listen(ctx, loads, print)
	}
	h.e.judge = judge{late: true, many: true}
	var out []taken
	for i, x := range loads {
		a, err := h.e.tell(ctx, x.file, fmt.Sprintf("load %d of %d: ", i+1, len(loads)), print)
		if err != nil && exitCode(err) != codeUntrusted {
			return nil, err
		}
		if ctx.Err() != nil {
			return nil, errors.Join(err, ctx.Err())
		}
		report(h.e.err, err)
		out = append(out, taken{x, a, err})
	}
	return out, nil
}

// A line is what a line through loads is made of.
type line struct {
	rig   physics.Rig
	given []physics.Hang
	used  []taken // of which each of those given was heard
}

// gather takes together what was heard under the loads, and says what is to be said of
// that.
func (h *hanging) gather(all []taken) (line, []detect.Doubt, error) {
	l := line{rig: physics.Rig{Length: h.scale.Measured, Gravity: h.gravity.Measured, Scale: h.shared(), Ends: h.held.Ends, Core: h.of.Material}}
	var doubts []detect.Doubt
	for _, x := range all {
		if x.err != nil {
			doubts = append(doubts, detect.Doubt{Code: leftOut, Say: fmt.Sprintf("the take under %s was left out: %s", x.load, x.why())})
			continue
		}
		r := x.answer.heard()
		s, err := stretchOf(r, h.scale.Measured, h.held.Ends)
		if err != nil {
			return line{}, nil, err
		}
		if s.Clock.U > l.rig.Clock.U { // takes at several rates may have several clocks
			l.rig.Clock = s.Clock
		}
		l.given, l.used = append(l.given, physics.Hang{Load: x.load, F0: s.F0, B: s.B}), append(l.used, x)
		for _, d := range slices.Concat(x.answer.doubts, r.Doubts) {
			d.Say = fmt.Sprintf("under %s: %s", x.load, d.Say)
			doubts = append(doubts, d)
		}
	}
	return l, doubts, nil
}

// conclude makes a unit weight of what was heard under the loads.
func (h *hanging) conclude(all []taken, remarks []detect.Doubt) error {
	l, doubts, err := h.gather(all)
	if err != nil {
		return err
	}
	a := &answer{kind: ofLoads, many: true, doubts: append(doubts, remarks...)}
	given, rig := l.given, l.rig
	var loads []physics.Load
	for _, g := range given {
		loads = append(loads, g.Load)
	}
	if !physics.Different(loads, h.gravity.Value) {
		a.doubts = append(a.doubts, detect.Doubt{Code: tooFew, Fatal: true,
			Say: "takes that can be trusted are left of fewer than two loads"})
		return h.tell(a)
	}
	found, err := rig.UnitWeight(given)
	var input *physics.InputError
	if errors.As(err, &input) {
		a.doubts = append(a.doubts, detect.Doubt{Code: noLine, Say: input.Error(), Fatal: true})
		return h.tell(a)
	}
	if err != nil {
		return err
	}
	a.hung = &hungString{Hung: found, used: l.used}
	if rest, err := rig.UnitWeight(found.WithoutOdd(given)); err == nil && found.Odd >= 0 {
		a.hung.rest = &rest
	}
	a.doubts = append(a.doubts, a.hung.doubts()...)
	a.figure, err = heardWeight("hang", found.UnitWeight, nil, hangProposals)
	var no *implausibleError
	if errors.As(err, &no) {
		a.hung, err = nil, nil
		a.doubts = append(a.doubts, detect.Doubt{Code: implausible, Say: no.say, Fatal: true})
	}
	if err != nil {
		return err
	}
	return h.tell(a)
}

// shared is what all loads may be off by together. What a rig takes off them all the
// slope is free of.
func (h *hanging) shared() physics.Relative {
	if h.rig.Name != "" {
		return h.rig.Scale()
	}
	return h.common.Relative
}

// why says in short why a take is not to be trusted.
func (x taken) why() string {
	if x.answer != nil {
		if fatal := x.answer.fatal(); len(fatal) > 0 {
			return fatal[0].Say
		}
		for _, d := range x.answer.take.Doubts {
			return d.Say
		}
	}
	return x.err.Error()
}

// tell prints the answer and draws the picture that was asked for.
func (h *hanging) tell(a *answer) error {
	if err := h.e.print(a); err != nil {
		return err
	}
	if a.hung != nil {
		if err := h.picture.draw(a.hung.picture()); err != nil {
			return err
		}
	}
	return a.untrusted()
}

var hangProposals = map[string]string{
	"loads":                  "weigh them on a balance, and give the tolerance, as in --hang 2kg±0.1%:take.wav; hang heavier ones, and lighter",
	"scatter about the line": "let the loads hang free of all else and come to rest, and hang each more than once",
	"curve of the line":      "find what binds or gives way, or hang lighter loads only",
	"weights":                weightsProposal,
	"gravity":                gravityProposal,
	"speaking length":        "measure it closer, and give the tolerance, as in --scale 863.6mm±0.2mm",
	"f0":                     "pluck more often, and let the string ring longer",
	"stretch":                "name what the core is made of, as in --material steel",
	"end condition":          "say --ends where they are known: pinned over a round edge, clamped in a vice",
}
