package main

import (
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"pluckweigh/physics"
	"pluckweigh/settle"
)

// write prints the answer for a person.
func (a *settled) write(w io.Writer) error {
	const k = physics.Coverage
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	c := a.course
	title := counted(len(a.readings), "reading")
	if a.session != "" {
		title = a.session + ": " + title
	}
	end := a.readings[len(a.readings)-1].when.Since(a.readings[0].when)
	fmt.Fprintf(t, "%s in %s, %s to %s\n", title, lasted(end), a.moment(0), a.moment(end))
	for _, r := range a.rows() {
		fmt.Fprintf(t, "  %s\t%s\n", r.name, r.say)
	}
	fmt.Fprintf(t, "\n  within %s: %s\n", wished(a.forecast), verdict(a.forecast))
	if !a.forecast.TooShort {
		fmt.Fprintf(t, "  by then it moves by %s  (k = %d); the probability that it stays within is %s\n", signed(a.forecast.Move, 1, "cents"), k, probability(a.forecast.Holds))
	}
	fmt.Fprintf(t, "\n  laws  (t since %s; k = %d)\n", a.moment(c.Readings[0].At), k)
	for _, l := range c.Laws {
		if l.Weight >= leastShown {
			fmt.Fprintf(t, "    %s\t%3.0f %%  %s\n", l.Law, 100*l.Weight, formula(l))
		}
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if len(a.doubts) > 0 {
		fmt.Fprintf(w, "\n  doubts\n")
	}
	for _, d := range a.doubts {
		fmt.Fprintf(w, "    %s\n", d.Say)
	}
	return nil
}

// leastShown is the weight from which on a law is told of.
const leastShown = 0.005

// A stated is something with its name.
type stated struct{ name, say string }

// rows say where the pitch is and how it moved.
func (a *settled) rows() (all []stated) {
	const k = physics.Coverage
	c := a.course
	last := c.Readings[len(c.Readings)-1].At
	row := func(name, format string, args ...any) { all = append(all, stated{name, fmt.Sprintf(format, args...)}) }
	at := ""
	if a.warmth != nil {
		at = fmt.Sprintf(", at %.1f °C", c.MeanWarmer())
	}
	row("pitch now", "%s %s  (k = %d; A4 at %s%s)", a.note.Name(), signed(c.At(last), 1, "cents"), k, physics.Format(a.a4, 0, 6), at)
	if d := c.Drift(last); !math.IsNaN(d.Value) {
		row("drifts by", "%s  (k = %d)", signed(d, 3600, "cents/h"), k)
	}
	if b := a.back; b != nil {
		row("after "+a.moment(a.event.Since(a.readings[0].when)), "%s at once, as against before  (k = %d)", signed(b.AtOnce, 1, "cents"), k)
		row("returned to pitch", "but for %s at the last reading  (k = %d)", signed(b.Off, 1, "cents"), k)
	}
	for _, s := range c.Steps {
		row("stepped by", "%s, between %s and %s  (k = %d)", signed(s.Size, 1, "cents"), a.moment(s.After), a.moment(s.Before), k)
	}
	if c.Warmth != nil {
		row("warmth", "%s, taken out  (k = %d)", signed(*c.Warmth, 1, "cents/K"), k)
	}
	row("scatter", "%.2g cents beyond what each reading may be off by  (k = 1)", c.Scatter)
	return all
}

// signed prints an estimate with its expanded uncertainty in another unit, of which the
// original has so many.
func signed(e settle.Estimate, times float64, unit string) string {
	m := physics.Stated(physics.Inharmonicity(e.Value*times), physics.Inharmonicity(e.U*times)) // a bare number
	s := m.Expanded(physics.Coverage)
	if e.Value > 0 {
		s = "+" + s
	}
	return s + " " + unit
}

// wished is what a forecast is about.
func wished(f settle.Forecast) string {
	unit := "cents"
	if f.Tolerance == 1 {
		unit = "cent"
	}
	return fmt.Sprintf("%g %s for %s", f.Tolerance, unit, lasted(f.Ahead))
}

// verdict is the forecast in words.
func verdict(f settle.Forecast) string {
	switch {
	case f.Verdict == settle.Yes:
		return fmt.Sprintf("yes  (%s)", probability(f.Holds))
	case f.Verdict == settle.NotYet && f.WaitTold:
		about, between := lastedOf(f.Wait)
		return fmt.Sprintf("not yet, about %s  (%s with 95 %%)", about, between)
	case f.Verdict == settle.NotYet && math.IsInf(f.Wait.Low, 1):
		return "not yet, and it does not slow down"
	case f.Verdict == settle.NotYet:
		return "not yet, and it cannot be told yet when"
	}
	return "cannot tell yet"
}

// probability prints one, of which the draws tell no more than a few tenths of a per
// cent.
func probability(p float64) string {
	switch {
	case p > 0.995:
		return "over 99 %"
	case p < 0.005:
		return "less than 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// formula is a law with what it is told to be.
func formula(l settle.Told) string {
	a := signed(l.A, 1, "cents")
	switch form := forms[l.Law]; l.Law {
	case settle.Linear:
		return fmt.Sprintf("%s: a %s, b %s", form, a, signed(l.B, 3600, "cents/h"))
	case settle.Logarithmic, settle.Exponential:
		return fmt.Sprintf("%s: a %s, b %s, τ %s", form, a, signed(l.B, 1, "cents"), tauSaid(l))
	}
	return "a: " + a
}

// forms are the laws as they are written.
var forms = map[settle.Law]string{settle.Still: "a", settle.Linear: "a + b t", settle.Logarithmic: "a + b ln(1 + t/τ)", settle.Exponential: "a + b exp(-t/τ)"}

// tauSaid is the τ of a law that has one.
func tauSaid(l settle.Told) string {
	if !(l.Tau.Value > 0) {
		return "not looked at: the law is out of the question"
	}
	about, between := lastedOf(l.Tau)
	if !l.TauTold {
		return fmt.Sprintf("not told, %s or beyond", between)
	}
	return fmt.Sprintf("%s (%s)", about, between)
}
