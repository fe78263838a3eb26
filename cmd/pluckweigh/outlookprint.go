package main

import (
	"fmt"
	"io"

	"pluckweigh/physics"
)

// write prints the outlook for a person: each number, and what it rests on.
func (o outlook) write(w io.Writer, a4 physics.Frequency) {
	fmt.Fprintf(w, "\n  what if  (each ± with k = %d, and what it is owed to)\n", physics.Coverage)
	for _, p := range o {
		fmt.Fprintf(w, "  %s\n", p.title)
		for _, r := range p.rows {
			fmt.Fprintf(w, "    %s\t%s\t%s\n", r.label, r.expanded, owedTo(r.budget))
		}
		for _, l := range p.limits {
			fmt.Fprintf(w, "    of %s\t%s\t%s\n", l.Standard, l.Load.Expanded(physics.Coverage), owedTo(l.Load.Budget))
			fmt.Fprintf(w, "    breaks there%s\t%s up\t%s\n", p.breaksAt(l, a4), l.Headroom.Expanded(physics.Coverage), owedTo(l.Headroom.Budget))
		}
		if say := p.verdict(); say != "" {
			fmt.Fprintf(w, "    %s\n", say)
		}
		for _, n := range p.notes {
			fmt.Fprintf(w, "    %s\n", n)
		}
	}
}

// breaksAt names the note at which the string would break.
func (p prospect) breaksAt(l physics.Limit, a4 physics.Frequency) string {
	if p.at == 0 {
		return ""
	}
	n, err := physics.NearestNote(p.at.Raise(l.Headroom.Value), a4)
	if err != nil {
		return ""
	}
	return ", about " + n.Name()
}

// breaks tells whether the core carries more than the least strength known, and
// whether it may.
func (p prospect) breaks() (does, may bool) {
	if len(p.limits) == 0 {
		return false, false
	}
	return p.limits[0].Broken(), p.limits[0].Doubtful()
}

// verdict says whether the string breaks, or nothing where it holds.
func (p prospect) verdict() string {
	switch does, may := p.breaks(); {
	case does:
		return "IT WOULD BREAK: the core would carry more than the least strength of " + p.limits[0].Standard + " wire. Do not try."
	case may:
		return "IT MAY BREAK: within what is known, the core may carry more than the least strength of " + p.limits[0].Standard + " wire."
	}
	return ""
}

// owedTo lists what a number's uncertainty is owed to, the largest first.
func owedTo(b physics.Budget) string {
	s := ""
	for _, t := range b {
		if t.Share < worthSaying {
			continue
		}
		if s != "" {
			s += ", "
		}
		s += fmt.Sprintf("%s %.0f %%", t.Input, 100*t.Share)
		if t.Assumed {
			s += " (assumed)"
		}
	}
	return s
}

// json is the outlook as it is printed with --json: a list of answers, each with its
// question and SI values.
func (o outlook) json() []map[string]any {
	out := []map[string]any{}
	for _, p := range o {
		m := map[string]any{"what": p.question, "asked": nil, "notes": append([]string{}, p.notes...)}
		if p.asked != "" {
			m["asked"] = p.asked
		}
		budgets := map[string]any{}
		for _, r := range p.rows {
			m[r.key], m["u_"+r.key] = finite(r.value), finite(r.u)
			budgets[r.key] = budgetJSON(r.budget)
		}
		m["budgets"] = budgets
		m["breaks"], m["limits"] = nil, limitsJSON(p.limits)
		if len(p.limits) > 0 {
			m["breaks"], m["may_break"] = p.breaks()
		}
		out = append(out, m)
	}
	return out
}

type limitJSON struct {
	Standard  string   `json:"standard"`
	Strength  *float64 `json:"strength_pascal"`
	Load      *float64 `json:"load"`
	ULoad     *float64 `json:"u_load"`
	Headroom  *float64 `json:"headroom_cents"`
	UHeadroom *float64 `json:"u_headroom_cents"`
}

func limitsJSON(ls []physics.Limit) []limitJSON {
	out := []limitJSON{}
	for _, l := range ls {
		out = append(out, limitJSON{l.Standard, finite(float64(l.Least)), finite(float64(l.Load.Value)), finite(float64(l.Load.U)),
			finite(float64(l.Headroom.Value)), finite(float64(l.Headroom.U))})
	}
	return out
}
