package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"pluckweigh/physics"
)

// write prints the outlook for a person: each number, and what it rests on; then how
// to know the numbers better where that has not been said before.
func (o outlook) write(w io.Writer, said []physics.Improvement) {
	fmt.Fprintf(w, "\n  what it will do  (each ± with k = %d, and the inputs that it is owed to most)\n", physics.Coverage)
	assumed, loaded := false, false
	number := func(r row, after string) {
		fmt.Fprintf(w, "    %s\t%s%s\t%s\n", r.label, r.expanded, after, owedTo(r.budget, &assumed))
		if r.spread != nil {
			fmt.Fprintf(w, "      95 %% by Monte Carlo\t%s\t%s\n", r.spread.shortest, r.spread.verdict())
		}
	}
	for _, p := range o {
		fmt.Fprintf(w, "  %s\n", p.title)
		for _, r := range p.rows {
			number(r, "")
		}
		does, may := p.breaks()
		for _, l := range p.limits {
			if p.shown || may {
				loaded = true
				number(l.load, "")
			}
			if p.shown && !l.Broken() {
				number(l.headroom, " up")
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
	o.writeBetter(w, said)
}

// writeBetter prints what would improve the numbers: each input by the number that it
// helps most, but for those that something was said of before.
func (o outlook) writeBetter(w io.Writer, said []physics.Improvement) {
	type better struct {
		physics.Improvement
		of   string
		left float64 // of the number's uncertainty
	}
	var best []better
	for _, p := range o {
		for _, r := range p.numbers() {
			for _, i := range r.improve {
				if slices.ContainsFunc(said, func(s physics.Improvement) bool { return s.Input == i.Input }) {
					continue
				}
				b := better{i, r.label, i.U / r.u}
				at := slices.IndexFunc(best, func(o better) bool { return o.Input == i.Input })
				switch {
				case at < 0:
					best = append(best, b)
				case b.left < best[at].left:
					best[at] = b
				}
			}
		}
	}
	slices.SortStableFunc(best, func(a, b better) int { return cmp.Compare(a.left, b.left) })
	for i, b := range best {
		if i == 0 {
			fmt.Fprintf(w, "\n  to know these better  (the input ± its standard uncertainty, k = 1; the result's, k = %d)\n", physics.Coverage)
		}
		fmt.Fprintf(w, "    %s\t%s: %s%s\n", b.Input, b.Reach.Said, b.of, strings.TrimPrefix(b.Said, b.Reach.Said+":"))
	}
}

// numbers are those of an answer that a person is shown.
func (p prospect) numbers() []row {
	all := slices.Clone(p.rows)
	for _, l := range p.limits {
		if p.shown {
			all = append(all, l.load)
		}
	}
	return all
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

// rowsJSON is each number by its name, with its standard uncertainty, their budgets,
// and what would improve them.
func rowsJSON(rows []row) map[string]any {
	m, budgets, improve, drawn := map[string]any{}, map[string]any{}, map[string]any{}, map[string]any{}
	for _, r := range rows {
		m[r.key], m["u_"+r.key] = finite(r.value), finite(r.u)
		budgets[r.key], improve[r.key] = budgetJSON(r.budget), improvementsJSON(r.improve)
		if r.spread != nil {
			drawn[r.key] = newMonteCarloJSON(r.spread)
		}
	}
	m["budgets"], m["improve"] = budgets, improve
	if len(drawn) > 0 {
		m["monte_carlo"] = drawn
	}
	return m
}

type limitJSON struct {
	Standard  string   `json:"standard"`
	Strength  *float64 `json:"strength_pascal"`
	Load      *float64 `json:"load"`
	ULoad     *float64 `json:"u_load"`
	Headroom  *float64 `json:"headroom_cents"`
	UHeadroom *float64 `json:"u_headroom_cents"`

	MonteCarlo map[string]any `json:"monte_carlo,omitempty"` // there where asked for
}

func limitsJSON(ls []limit) []limitJSON {
	out := []limitJSON{}
	for _, l := range ls {
		j := limitJSON{Standard: l.Standard, Strength: finite(float64(l.Least)), Load: finite(l.load.value), ULoad: finite(l.load.u),
			Headroom: finite(l.headroom.value), UHeadroom: finite(l.headroom.u)}
		if l.load.spread != nil {
			j.MonteCarlo = map[string]any{l.load.key: newMonteCarloJSON(l.load.spread), l.headroom.key: newMonteCarloJSON(l.headroom.spread)}
		}
		out = append(out, j)
	}
	return out
}
