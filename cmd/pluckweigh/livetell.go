package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pluckweigh/detect"
)

// tell prints what came of measuring a pluck.
func (l *live) tell(m measured) {
	if l.e.audience != nil {
		if m.soon && m.number <= l.last {
			return // it was told when it was over
		}
		if !m.soon {
			l.last = max(l.last, m.number)
		}
		if m.err != nil {
			l.e.audience.failed(m.err)
			return
		}
	}
	if m.err != nil {
		l.line.clear()
		report(l.e.err, m.err)
		return
	}
	if len(m.answer.take.Plucks) == 0 {
		return // no pluck after all
	}
	// The end of the one before and the beginning of the next may be there too.
	p := slices.MinFunc(m.answer.take.Plucks, func(p, q detect.Pluck) int {
		return cmp.Compare(math.Abs(p.Start+m.from-m.onset), math.Abs(q.Start+m.from-m.onset))
	})
	if l.e.audience != nil {
		l.e.audience.plucked(m, p)
		return
	}
	if m.soon && p.Trusted {
		l.enough = m.onset
	} else if m.soon || l.enough > 0 && math.Abs(m.onset-l.enough) < samePluck {
		return // it is measured again when it is over, or was measured before
	}
	if l.e.each != nil {
		l.e.each(m, p)
	}
	if w := l.e.watching; w != nil {
		w.plucked(m, p)
	}
	if l.e.plucked != nil && p.Trusted && m.answer.trusted() {
		l.e.plucked()
	}
	if l.e.json {
		j := livePluckJSON{Pluck: newPluckJSON(p, m.from)}
		switch m.answer.kind {
		case ofTension:
			j.Tension = newTensionJSON(m.answer.figure)
		case ofUnitWeight, ofIdentity:
			j.UnitWeight = newUnitWeightJSON(m.answer.figure)
		}
		if l.e.told != nil {
			_, j.Survey = l.e.told()
		}
		writeLine(l.e.out, lively{j})
		return
	}
	l.line.clear()
	say := m.answer.brief(p)
	if l.e.told != nil && p.Trusted {
		say, _ = l.e.told()
	}
	fmt.Fprintf(l.e.out, "pluck %d at %.1f s: %s\n", m.number, m.onset, say)
}

// brief says in a line what a pluck came to.
func (a *answer) brief(p detect.Pluck) string {
	if !p.Trusted || !a.trusted() {
		for _, d := range slices.Concat(p.Doubts, a.doubts) {
			if d.Fatal {
				return "not trusted: " + d.Say
			}
		}
		return "not trusted"
	}
	s := fmt.Sprintf("%s  f0 %s", noteOf(*a.note), expanded(hertz(p.F0)))
	if a.figure != nil {
		s += fmt.Sprintf("  %s %s", a.figure.label, a.figure.expanded)
	}
	return s
}
