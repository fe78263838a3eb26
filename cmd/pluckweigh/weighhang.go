package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// hangCaution stands before weights are hung.
const hangCaution = caution + `
Weights fall when a string snaps: keep feet and hands from under them, hang them low
over something soft, and stand aside of the string, which whips.`

// A hung take is a load and what is heard under it: a file, or the microphone where
// none is named.
type hung struct {
	load physics.Load
	file string
}

// hangs is a flag that takes loads with their takes, given once for each.
type hangs []hung

func (v *hangs) Set(s string) error {
	text, file, named := strings.Cut(s, ":") // the first: a path may have another
	load, err := physics.ParseLoad(physics.HungLoad, text)
	if err != nil {
		return err
	}
	if named && file == "" {
		return &physics.InputError{What: "load", Text: s, Why: "names no take after the colon", Fix: "write it like " + text + ":take.wav"}
	}
	*v = append(*v, hung{load, file})
	return nil
}

func (v *hangs) String() string { return "" }
func (v *hangs) Type() string   { return "load:take" }

// hanging is weighing by several loads.
type hanging struct {
	*weighing
	hangs   hangs
	common  share
	picture picture
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
	for _, a := range args {
		if err := h.hangs.Set(a); err != nil {
			if !strings.Contains(a, ":") {
				return &callError{fmt.Sprintf("take %q has no load", a), "name its load before it, as in 2kg:" + a}
			}
			return about("hang", err)
		}
	}
	files, err := h.files(cmd)
	if err != nil {
		return err
	}
	if h.common.U > 0 && h.rig.Name != "" {
		return &callError{"--common and --rig both say what the loads share", "leave one of the two out"}
	}
	if err := h.e.check(cmd, files); err != nil {
		return err
	}
	if err := h.picture.check(h.e.overwrite); err != nil {
		return err
	}
	fmt.Fprintln(h.e.err, hangCaution)
	hear := h.read
	if len(files) == 0 {
		hear = h.listen
	}
	all, err := hear(cmd.Context())
	if err != nil {
		return err
	}
	return h.conclude(all)
}

// files lists the takes, none where the microphone is meant. It refuses what makes
// no line, and a take that is named for two loads.
func (h *hanging) files(cmd *cobra.Command) ([]string, error) {
	if cmd.Flags().Changed("near") {
		return nil, &callError{"--near names one note, and each load has its own", "leave it out"}
	}
	var files []string
	var infos []os.FileInfo
	var loads []physics.Load
	for _, x := range h.hangs {
		loads = append(loads, x.load)
		if x.file == "" {
			continue
		}
		for i, f := range files {
			info, err := os.Stat(x.file)
			if filepath.Clean(x.file) == filepath.Clean(f) || err == nil && infos[i] != nil && os.SameFile(info, infos[i]) {
				return nil, &callError{fmt.Sprintf("take %s is named twice", x.file), "name the take of each load once"}
			}
		}
		info, _ := os.Stat(x.file) // a take that is not there is said when it is opened
		files, infos = append(files, x.file), append(infos, info)
	}
	if len(files) > 0 && len(files) < len(h.hangs) {
		for _, x := range h.hangs {
			if x.file == "" {
				return nil, &callError{fmt.Sprintf("load %s has no take, and others have one", x.load),
					fmt.Sprintf("name its take, as in %s:take.wav, or leave out all to listen", x.load)}
			}
		}
	}
	if !physics.Different(loads, h.gravity.Value) {
		return nil, &callError{"--hang needs two different loads", "hang more than one, better five, as in --hang 2kg:a.wav --hang 4kg:b.wav"}
	}
	return files, nil
}

// taken is what was heard under a load.
type taken struct {
	hung
	answer *answer
	err    error // why it is not to be trusted
}

// read hears the takes of all loads from files.
func (h *hanging) read(ctx context.Context) ([]taken, error) {
	h.e.judge = judge{late: true}
	var out []taken
	for i, x := range h.hangs {
		a, err := h.e.tell(ctx, x.file, fmt.Sprintf("load %d of %d: ", i+1, len(h.hangs)), h.e.printJSON)
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

// conclude makes a unit weight of what was heard under the loads.
func (h *hanging) conclude(all []taken) error {
	a := &answer{kind: ofLoads}
	rig := physics.Rig{Length: h.scale.Measured, Gravity: h.gravity.Measured, Scale: h.shared(), Ends: h.held.Ends, Core: h.of.Material}
	var given []physics.Hang
	var used []taken
	for _, x := range all {
		if x.err != nil {
			a.doubts = append(a.doubts, detect.Doubt{Code: leftOut, Say: fmt.Sprintf("the take under %s was left out: %s", x.load, x.why())})
			continue
		}
		r := x.answer.heard()
		s, err := stretchOf(r, h.scale.Measured, h.held.Ends)
		if err != nil {
			return err
		}
		if s.Clock.U > rig.Clock.U { // takes at several rates may have several clocks
			rig.Clock = s.Clock
		}
		given, used = append(given, physics.Hang{Load: x.load, F0: s.F0, B: s.B}), append(used, x)
		for _, d := range slices.Concat(x.answer.doubts, r.Doubts) {
			d.Say = fmt.Sprintf("under %s: %s", x.load, d.Say)
			a.doubts = append(a.doubts, d)
		}
	}
	var loads []physics.Load
	for _, g := range given {
		loads = append(loads, g.Load)
	}
	if !physics.Different(loads, h.gravity.Value) {
		a.doubts = append(a.doubts, detect.Doubt{Code: tooFew, Fatal: true,
			Say: "takes that can be trusted are left of fewer than two loads"})
		return h.tell(a)
	}
	line, err := rig.UnitWeight(given)
	var input *physics.InputError
	if errors.As(err, &input) {
		a.doubts = append(a.doubts, detect.Doubt{Code: noLine, Say: input.Error(), Fatal: true})
		return h.tell(a)
	}
	if err != nil {
		return err
	}
	a.hung = &hungString{Hung: line, used: used}
	if rest, err := rig.UnitWeight(line.WithoutOdd(given)); err == nil && line.Odd >= 0 {
		a.hung.rest = &rest
	}
	a.doubts = append(a.doubts, a.hung.doubts()...)
	a.figure, err = heardWeight("hang", line.UnitWeight, nil, hangProposals)
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
