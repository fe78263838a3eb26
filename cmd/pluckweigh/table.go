package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"text/tabwriter"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// print prints an answer in the form asked for.
func (e *ears) print(a *answer) error {
	if e.carlo {
		if err := a.figure.draw(); err != nil {
			return err
		}
	}
	if err := e.show(a); err != nil || e.stow == nil || !a.trusted() {
		return err
	}
	return e.stow(a)
}

// show prints it.
func (e *ears) show(a *answer) error {
	if e.json {
		return a.writeJSON(e.out)
	}
	if e.printed {
		fmt.Fprintln(e.out)
	}
	e.printed = true
	return a.writeTable(e.out)
}

// printJSON prints an answer where JSON was asked for, and nothing else.
func (e *ears) printJSON(a *answer) error {
	if !e.json {
		return nil
	}
	return a.writeJSON(e.out)
}

// writeTable prints the answer for a person.
func (a *answer) writeTable(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	if a.take.Rate > 0 {
		fmt.Fprintf(t, "%s: %.1f s at %g Hz\n", a.title(), a.take.Seconds, a.take.Rate)
	}
	if a.trusted() {
		if r := a.take.Reading; r != nil {
			a.writeReading(t, r)
			if a.figure != nil {
				fmt.Fprintln(t)
			}
		}
		if a.hung != nil {
			a.hung.write(t)
		}
		if a.figure != nil {
			a.figure.write(t)
			if len(a.figure.outlook) > 0 {
				t.Flush() // columns of its own
				a.figure.outlook.write(t, a.figure.improve)
			}
			if a.figure.also != nil {
				fmt.Fprintln(t)
				a.figure.also.write(t)
			}
		}
	}
	if err := t.Flush(); err != nil {
		return err
	}
	a.writeDoubts(w)
	return nil
}

func (a *answer) title() string {
	switch a.name {
	case "":
		return "microphone"
	case "-":
		return "standard input"
	}
	return a.name
}

func (a *answer) writeReading(w io.Writer, r *detect.Reading) {
	row := func(name, format string, args ...any) {
		fmt.Fprintf(w, "  %s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	row("note", "%s  (A4 at %s)", noteOf(*a.note), physics.Format(a.a4, 0, 6))
	row("f0", "%s", expanded(hertz(r.F0)))
	row("first partial", "%s", expanded(hertz(r.F1)))
	if r.Load != nil {
		row("clip", "lowers it by %.1f cents; %s of the string's mass", r.Load.Cents, percent(r.Load.Ratio))
		if r.Load.Off.V > physics.Coverage*r.Load.Off.U {
			row("clip sits", "%s of the length off the middle", percent(r.Load.Off))
		}
	}
	if r.BKnown {
		row("inharmonicity B", "%s", expanded(physics.Stated(physics.Inharmonicity(r.B.V), physics.Inharmonicity(r.B.U))))
	} else {
		row("inharmonicity B", "not heard")
	}
	best := a.take.Plucks[a.loudest()]
	row("partials heard", "%s", numbers(best.Partials))
	row("glide", "%.1f cents", best.GlideCents)
	row("signal to noise", "%.0f dB", best.SNRdB)
	row("plucks", "%d of %d can be trusted", r.Plucks, len(a.take.Plucks))
}

// loudest is the index of the trusted pluck that stands out most of the noise.
func (a *answer) loudest() int {
	best := -1
	for i, p := range a.take.Plucks {
		if p.Trusted && (best < 0 || p.SNRdB > a.take.Plucks[best].SNRdB) {
			best = i
		}
	}
	return best
}

// noteOf names a note and how far off it is.
func noteOf(n physics.Note) string { return fmt.Sprintf("%s %+.1f cents", n.Name(), n.Cents) }

func hertz(v detect.Value) physics.Measured[physics.Frequency] {
	return physics.Stated(physics.Frequency(v.V), physics.Frequency(v.U))
}

// percent prints a fraction with its expanded uncertainty.
func percent(v detect.Value) string {
	return fmt.Sprintf("%s %%", strings.TrimSuffix(expanded(physics.Stated(physics.Inharmonicity(100*v.V), physics.Inharmonicity(100*v.U))), fmt.Sprintf("  (k = %d)", physics.Coverage)))
}

// numbers lists which partials were heard, "1-7, 9".
func numbers(ps []detect.Partial) string {
	var runs []string
	for i := 0; i < len(ps); {
		j := i
		for j+1 < len(ps) && ps[j+1].N == ps[j].N+1 {
			j++
		}
		if i == j {
			runs = append(runs, fmt.Sprint(ps[i].N))
		} else {
			runs = append(runs, fmt.Sprintf("%d-%d", ps[i].N, ps[j].N))
		}
		i = j + 1
	}
	return fmt.Sprintf("%d (%s)", len(ps), strings.Join(runs, ", "))
}

// worthSaying is the share of the variance from which an input is worth a proposal
// of which it is not known what it would bring.
const worthSaying = 0.1

// write prints the figure and what its uncertainty comes from.
func (f *figure) write(w io.Writer) {
	if f.builds != nil {
		f.builds.write(w)
		return
	}
	if f.is != nil {
		f.is.write(w)
		return
	}
	fmt.Fprintf(w, "  %s\t%s\n", f.label, f.expanded)
	for _, remark := range []string{f.shift, f.other, f.suits} {
		if remark != "" {
			fmt.Fprintf(w, "  %s\n", remark)
		}
	}
	if f.spread != nil {
		f.spread.write(w)
	}
	if len(f.budget) == 0 {
		return // it was given
	}
	fmt.Fprintf(w, "\n  the ± comes from  (each input ± its standard uncertainty, k = 1)\n")
	assumed := false
	for _, t := range f.budget {
		mark := ""
		if t.Assumed {
			mark, assumed = "  assumed", true
		}
		fmt.Fprintf(w, "    %s\t%3.0f %%  %s%s\n", t.Input, 100*t.Share, t.Said, mark)
	}
	if assumed {
		fmt.Fprintln(w, "  assumed: nobody stated it; a usual value was taken")
	}
	f.writeProposals(w)
	if len(f.build) > 0 {
		fmt.Fprintln(w, "\n  the same build has")
	}
	for _, r := range f.build {
		fmt.Fprintf(w, "    %s\t%s  (k = %d)\n", r.label, r.expanded, physics.Coverage)
		if r.spread != nil {
			fmt.Fprintf(w, "      95 %% by Monte Carlo\t%s  %s\n", r.spread.shortest, r.spread.verdict())
		}
	}
}

// writeProposals prints how to know the figure better and what that would bring, the
// most helpful first.
func (f *figure) writeProposals(w io.Writer) {
	once := sync.OnceFunc(func() {
		fmt.Fprintf(w, "\n  to know it better  (each input ± its standard uncertainty, k = 1; the result's, k = 2)\n")
	})
	said := map[string]bool{}
	for _, i := range f.improve {
		once()
		said[i.Input] = true
		fmt.Fprintf(w, "    %s\t%s\n", i.Input, i.Said)
		if p := f.proposals[i.Input]; p != "" {
			fmt.Fprintf(w, "    \t%s\n", p)
		}
	}
	for _, t := range f.budget {
		if p := f.proposals[t.Input]; p != "" && t.Share >= worthSaying && !said[t.Input] {
			once()
			fmt.Fprintf(w, "    %s\t%s\n", t.Input, p)
		}
	}
}

// writeDoubts prints the doubts on the take, and on its plucks where they differ.
func (a *answer) writeDoubts(w io.Writer) {
	type said struct{ where, say string }
	var all []said
	for _, d := range a.doubts {
		all = append(all, said{"", d.Say})
	}
	if r := a.take.Reading; r != nil {
		for _, d := range r.Doubts {
			all = append(all, said{"", d.Say})
		}
	}
	for i, p := range a.take.Plucks {
		for _, d := range p.Doubts {
			if s := (said{"", d.Say}); !slices.Contains(all, s) {
				where := fmt.Sprintf("pluck %d at %.2f s", i+1, p.Start)
				if d.Fatal && a.take.Reading != nil {
					where += ", set aside"
				}
				all = append(all, said{where + ": ", d.Say})
			}
		}
	}
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\n  doubts\n")
	for _, s := range all {
		fmt.Fprintf(w, "    %s%s\n", s.where, s.say)
	}
}
