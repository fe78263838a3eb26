package main

import (
	"fmt"
	"io"
	"strings"

	"pluckweigh/physics"
)

// write prints the outlook for a person: each number, and what it rests on.
func (o outlook) write(w io.Writer) {
	fmt.Fprintf(w, "\n  what it will do  (each ± with k = %d, and the inputs that it is owed to most)\n", physics.Coverage)
	assumed, loaded := false, false
	for _, p := range o {
		fmt.Fprintf(w, "  %s\n", p.title)
		for _, r := range p.rows {
			fmt.Fprintf(w, "    %s\t%s\t%s\n", r.label, r.expanded, owedTo(r.budget, &assumed))
		}
		does, may := p.breaks()
		for _, l := range p.limits {
			if p.shown || may {
				loaded = true
				fmt.Fprintf(w, "    load, %s\t%s\t%s\n", l.Standard, l.Load.Expanded(physics.Coverage), owedTo(l.Load.Budget, &assumed))
			}
			if p.shown && !l.Broken() {
				fmt.Fprintf(w, "    breaks, %s\t%s up\t%s\n", l.Standard, l.Headroom.Expanded(physics.Coverage), owedTo(l.Headroom.Budget, &assumed))
			}
		}
		switch {
		case does:
			fmt.Fprintf(w, "    IT WOULD BREAK: the core would carry more than the least strength that %s asks for. Do not try it.\n", p.limits[0].Standard)
		case may:
			fmt.Fprintf(w, "    IT MAY BREAK: the ± reaches the least strength that %s asks for. Do not try it.\n", p.limits[0].Standard)
		}
		for _, n := range p.notes {
			fmt.Fprintf(w, "    %s\n", n)
		}
	}
	if assumed {
		fmt.Fprintln(w, "  * assumed: nobody stated it; a usual value was taken")
	}
	if loaded {
		fmt.Fprintln(w, "  load: of the least strength asked of new wire; kinks, edges and wear break it sooner")
	}
}

// breaks tells whether the core carries more than the least strength known, and
// whether it may.
func (p prospect) breaks() (does, may bool) {
	if len(p.limits) == 0 {
		return false, false
	}
	return p.limits[0].Broken(), p.limits[0].Doubtful()
}

// owedTo lists what a number's uncertainty is owed to, the largest first. It marks
// what was assumed, and says that it has.
func owedTo(b physics.Budget, assumed *bool) string {
	var all []string
	for _, t := range b {
		if t.Share < worthSaying {
			continue
		}
		s := fmt.Sprintf("%s %.0f %%", t.Input, 100*t.Share)
		if t.Assumed {
			s += "*"
			*assumed = true
		}
		all = append(all, s)
	}
	return strings.Join(all, ", ")
}

// json is the outlook as it is printed with --json: a list of answers, each with its
// question and SI values.
func (o outlook) json() []map[string]any {
	out := []map[string]any{}
	for _, p := range o {
		m := rowsJSON(p.rows)
		m["what"], m["notes"], m["limits"] = p.question, append([]string{}, p.notes...), limitsJSON(p.limits)
		m["breaks"], m["may_break"] = nil, nil
		if p.asked.key != "" {
			m[p.asked.key] = finite(p.asked.value)
		}
		if len(p.limits) > 0 {
			m["breaks"], m["may_break"] = p.breaks()
		}
		out = append(out, m)
	}
	return out
}

// rowsJSON is each number by its name, with its standard uncertainty, and their
// budgets.
func rowsJSON(rows []row) map[string]any {
	m, budgets := map[string]any{}, map[string]any{}
	for _, r := range rows {
		m[r.key], m["u_"+r.key] = finite(r.value), finite(r.u)
		budgets[r.key] = budgetJSON(r.budget)
	}
	m["budgets"] = budgets
	return m
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
