package main

import (
	"fmt"
	"math"
	"strings"

	"pluckweigh/cmd/internal/view"
	"pluckweigh/detect"
	"pluckweigh/physics"
	"pluckweigh/settle"
)

// shownPluck is a pluck as it is shown.
func shownPluck(m measured, p detect.Pluck) view.Pluck {
	const k = physics.Coverage
	a := m.answer
	x := view.Pluck{Number: m.number, Onset: m.onset, To: m.from + m.rec.seconds(), Trusted: p.Trusted && a.trusted(), Loaded: p.Load != nil}
	for _, d := range p.Doubts {
		if d.Fatal || x.Trusted {
			x.Doubts = append(x.Doubts, d.Say)
		}
	}
	for _, d := range a.doubts {
		if d.Fatal || x.Trusted {
			x.Doubts = append(x.Doubts, d.Say)
		}
	}
	if !x.Trusted {
		return x
	}
	note, err := physics.NearestNote(physics.Frequency(p.F1.V), a.a4)
	if err != nil {
		return x
	}
	x.Note, x.Cents, x.U = note.Name(), note.Cents, k*uCents(p.F1)
	is := signed(settle.Estimate{Value: note.Cents, U: uCents(p.F1)}, 1, "cents")
	facts := []string{"f0 " + hertz(p.F0).Expanded(k)}
	if p.BKnown {
		facts = append(facts, "B "+physics.Stated(physics.Inharmonicity(p.B.V), physics.Inharmonicity(p.B.U)).Expanded(k))
	}
	if f := a.figure; f != nil {
		x.Big, x.Beside = bigOf(f.expanded), f.label+" "+f.expanded
		if f.also != nil {
			x.Beside += ", " + f.also.label + " " + f.also.expanded
		}
		facts = append([]string{note.Name()}, facts...)
	} else {
		x.Big = largeCents(note.Name(), is)
		x.Beside = fmt.Sprintf("%s %s, first partial  (k = %d)", note.Name(), is, k)
	}
	x.Facts = []string{fmt.Sprintf("%s  (k = %d)", strings.Join(facts, ", "), k)}
	for _, q := range p.Partials {
		x.Rungs = append(x.Rungs, rung(q, p))
	}
	return x
}

// uCents is the standard uncertainty of a frequency in cents.
func uCents(v detect.Value) float64 {
	return physics.CentsBetween(physics.Frequency(v.V), physics.Frequency(v.V+v.U))
}

// bigOf is a quantity as it may be written large, the best first.
func bigOf(expanded string) []string {
	full, _, _ := strings.Cut(expanded, "  (k")
	value, rest, ok := strings.Cut(full, " ± ")
	if !ok || strings.HasPrefix(value, "(") {
		return []string{full}
	}
	_, unit, _ := strings.Cut(rest, " ")
	return []string{full, value + " " + unit, value}
}

// largeCents is a pitch as it may be written large, the best first. The unit is said beside.
func largeCents(note, is string) []string {
	full := strings.TrimSuffix(is, " cents")
	value, _, _ := strings.Cut(full, " ")
	return []string{note + " " + full, note + " " + value, note}
}

// rung is a partial beside the law that was fitted to all of its pluck.
func rung(q detect.Partial, p detect.Pluck) view.Rung {
	n := float64(q.N)
	law := n * p.F0.V * math.Sqrt(1+p.B.V*n*n)
	return view.Rung{N: q.N, Off: physics.CentsBetween(physics.Frequency(law), physics.Frequency(q.Freq.V)), U: uCents(q.Freq), LevelDB: q.LevelDB, Used: q.Used}
}
