package main

import (
	"fmt"
	"io"

	"pluckweigh/detect"
	"pluckweigh/physics"
)

// Codes of the doubts about a line through loads.
const (
	leftOut   detect.Code = "left_out"  // a load's take cannot be trusted
	tooFew    detect.Code = "too_few"   // fewer than two loads can be trusted
	noLine    detect.Code = "no_line"   // loads and takes do not belong together
	offset    detect.Code = "offset"    // the string pulls more or less than its loads
	oddLoad   detect.Code = "odd_load"  // one load does not belong to the others
	bentLine  detect.Code = "bent_line" // f0² against the load is a curve
	scattered detect.Code = "scattered" // loads lie off the line by more than they should
	unchecked detect.Code = "unchecked" // two loads always have a line
)

// A hungString is the line through loads, and what it was made of.
type hungString struct {
	physics.Hung
	used []taken
	rest *physics.Hung // the line without the odd load, nil where there is none
}

// doubts says what the line says of the rig.
func (h *hungString) doubts() []detect.Doubt {
	var out []detect.Doubt
	add := func(code detect.Code, format string, args ...any) {
		out = append(out, detect.Doubt{Code: code, Say: fmt.Sprintf(format, args...)})
	}
	if h.Falls > 0 {
		add(noLine, "%s sounds lower than %s: check which take belongs to which load", h.Points[h.Falls].Load, h.Points[h.Falls-1].Load)
	}
	switch {
	case h.Free == 0:
		add(unchecked, "nothing checks a line through two loads: hang a third")
	case h.Odd >= 0:
		p := h.Points[h.Odd]
		without := ""
		if h.rest != nil {
			without = fmt.Sprintf("; without it the unit weight is %s", h.rest.UnitWeight.Expanded(physics.Coverage))
		}
		add(oddLoad, "%s does not belong to the others: it sounds as if it pulled %s than the line through all%s: check the load and its take",
			p.Load, more(p.Off), without)
	case h.Bent > 0:
		add(bentLine, "the points curve upward, %s lying farthest off: the string gives way or stretches under the heavy loads, or one load was misread", h.farthest())
	case h.Bent < 0:
		add(bentLine, "the points curve downward, %s lying farthest off: the rig binds or rubs under the heavy loads, or one load was misread", h.farthest())
	case h.Scatter > 1:
		add(scattered, "the loads lie %.1f times farther off the line than their uncertainties explain, as if each were off by ± %s, %s most: does the rig rub, or was one misread?",
			h.Scatter, physics.Format(h.Extra, h.Offset.Unit, 2), h.farthest())
	}
	if h.Offset.Significant() {
		if h.Offset.Value > 0 {
			add(offset, "the string pulls %s than its loads, which the slope is free of: a hanger not weighed, a preload, or friction", more(h.Offset.Measured))
		} else {
			add(offset, "the string pulls %s than its loads, which the slope is free of: the rig holds part of them up, or rubs", more(h.Offset.Measured))
		}
	}
	return out
}

// more says how much more or less something pulls.
func more(m physics.Measured[physics.Force]) string {
	than := "more"
	if m.Value < 0 {
		than, m.Value = "less", -m.Value
	}
	return m.Expanded(physics.Coverage) + " " + than
}

// farthest is the load that lies farthest off the line, in its uncertainties.
func (h *hungString) farthest() physics.Load { return h.Points[h.Hung.Farthest()].Load }

// write prints the points for a person.
func (h *hungString) write(w io.Writer) {
	fmt.Fprintf(w, "  load\tf0  (k = %d)\toff the line\ttake\n", physics.Coverage)
	for _, p := range h.Points {
		names := ""
		for i, j := range p.Hangs {
			if i > 0 {
				names += ", "
			}
			names += h.used[j].answer.title()
		}
		fmt.Fprintf(w, "  %s\t%s\t%+.2f cents\t%s\n", p.Load, p.F0.Expanded(physics.Coverage), p.Cents, names)
	}
	fmt.Fprintf(w, "\n  offset\t%s  (k = %d): what the string pulls beside its loads\n", h.Offset.Expanded(physics.Coverage), physics.Coverage)
	assumed := false
	if owed := owedTo(h.Offset.Budget, &assumed); owed != "" {
		if assumed {
			owed += "  (* assumed)"
		}
		fmt.Fprintf(w, "  \tits ± is owed to %s\n", owed)
	}
	if h.Free > 0 {
		fmt.Fprintf(w, "  fit\tchi-square %.1f of %d: by chance in %.0f %% of such lines\n", h.Chi2, h.Free, 100*h.Chance)
	}
	fmt.Fprintln(w)
}

type hangJSON struct {
	Slope      *float64        `json:"slope"` // Hz²/N
	USlope     *float64        `json:"u_slope"`
	Intercept  *float64        `json:"intercept_newton"`
	UIntercept *float64        `json:"u_intercept_newton"`
	Budget     []termJSON      `json:"intercept_budget"`
	Chi2       *float64        `json:"chi2"`
	Free       int             `json:"degrees_of_freedom"`
	Chance     *float64        `json:"chance"`
	Scatter    *float64        `json:"scatter"`
	Extra      *float64        `json:"scatter_newton"`
	Points     []hangPointJSON `json:"points"`
}

type hangPointJSON struct {
	Load      *float64 `json:"load_newton"`
	ULoad     *float64 `json:"u_load_newton"`
	F0        *float64 `json:"f0_hz"`
	UF0       *float64 `json:"u_f0_hz"`
	Residual  *float64 `json:"residual_newton"`
	UResidual *float64 `json:"u_residual_newton"`
	Cents     *float64 `json:"residual_cents"`
	Takes     []string `json:"takes"`
}

func newHangJSON(h *hungString) *hangJSON {
	if h == nil {
		return nil
	}
	slope, u := h.Slope()
	j := &hangJSON{Slope: finite(slope), USlope: finite(u), Intercept: finite(float64(h.Offset.Value)), UIntercept: finite(float64(h.Offset.U)), Budget: budgetJSON(h.Offset.Budget),
		Chi2: finite(h.Chi2), Free: h.Free, Chance: finite(h.Chance), Scatter: finite(h.Scatter), Extra: finite(float64(h.Extra))}
	for _, p := range h.Points {
		q := hangPointJSON{Load: finite(float64(p.Pull.Value)), ULoad: finite(float64(p.Pull.U)), F0: finite(float64(p.F0.Value)), UF0: finite(float64(p.F0.U)),
			Residual: finite(float64(p.Off.Value)), UResidual: finite(float64(p.Off.U)), Cents: finite(p.Cents)}
		for _, i := range p.Hangs {
			q.Takes = append(q.Takes, h.used[i].answer.title())
		}
		j.Points = append(j.Points, q)
	}
	return j
}
