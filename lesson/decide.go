package lesson

import (
	"fmt"
	"math"
	"strings"
)

// unlikely is the probability below which a line that bends is none: so small that of
// classes whose law holds next to none is refused for it.
const unlikely = 0.001

// decide makes a verdict of the deciding finding.
func (l *Lesson) decide(o *Outcome, r *regression) {
	w := r.law
	if len(o.Findings) == 0 {
		o.Verdict, o.Say, o.Next = NotShown, "These data do not show it.", []string{l.more(r.points)}
		return
	}
	f := &o.Findings[0]
	f.Decides = true
	found := fmt.Sprintf("%s %s", f.Name, f.Text())
	is, half := f.against()
	half = min(half, f.K*f.Value.U) // no measurement makes better what is expected
	bends, say := r.bends()
	if say != "" {
		o.Doubts = append(o.Doubts, say)
	}
	switch {
	case bends:
		o.Verdict = Contradicts
		o.Say = fmt.Sprintf("The data contradict the law: they lie on a curve and not on its line (chance would bend a line as much in less than 1 of 1000 cases). %s", w.text.against)
	case is == outside:
		o.Verdict = Contradicts
		o.Say = fmt.Sprintf("The data contradict the law: %s, where it says %s. %s", found, f.Says(), w.text.against)
	case is == inside && (f.AboveZero || half <= w.sharp):
		o.Verdict = Agrees
		o.Say = fmt.Sprintf("The data agree with the law that %s: %s, where it says %s.", w.text.law, found, f.Says())
	default:
		o.Verdict = NotShown
		o.Say = fmt.Sprintf("These data do not show it: %s. The law says %s, and much else would fit as well.", found, f.Says())
		if !f.AboveZero {
			o.Say = fmt.Sprintf("These data do not show it: %s. The law says %s, but to tell it from others takes ± %.2g or better.", found, f.Says(), w.sharp)
		}
	}
	if len(f.From) > 0 {
		o.Say += fmt.Sprintf(" Part of the ± is what all points may be off by alike: %s.", strings.Join(f.From, ", "))
	}
	for _, also := range o.Findings[1:] {
		if also.Expected == nil || o.Verdict == NotShown {
			continue
		}
		switch is, _ := also.against(); is {
		case inside:
			o.Say += fmt.Sprintf(" %s %s, and %s is expected.", sentence(also.Name), also.Text(), also.Says())
		case outside:
			o.Say += fmt.Sprintf(" But %s %s, and %s is expected.", also.Name, also.Text(), also.Says())
		}
	}
	if w.look != nil && o.Verdict != Agrees {
		if s := w.look(o.Findings); s != "" {
			o.Next = append(o.Next, s)
		}
	}
	if len(o.Odd) > 0 {
		o.Next = append(o.Next, "look at the point that does not belong to the others, and measure it again")
	}
	if o.Verdict == NotShown {
		o.Next = append(o.Next, l.closer(f, r, half)...)
	}
}

// bends tells whether the points lie on a curve that matters, and what to say of one that
// does not: laws are of ideal strings, and real ones show some bend to who measures well.
func (r *regression) bends() (bends bool, say string) {
	if !r.law.curves {
		return false, ""
	}
	matters := r.law.sharp
	if matters == 0 {
		const some = 0.25 // of the slope
		matters = some * math.Abs(r.fit.Slopes[0])
		matters = max(matters, student(r.free)*r.s*r.fit.U(0))
	}
	chance, steeper := r.bent()
	switch {
	case chance >= unlikely:
		return false, ""
	case steeper > matters:
		return true, ""
	}
	return false, fmt.Sprintf("the points lie on a curve that is hardly one: at an end its slope is another by %.2g %%", 100*steeper/math.Abs(r.fit.Slopes[0]))
}

// Where a finding lies to what is expected of it.
type where int

const (
	across  where = iota // it may be that or not
	inside               // it is that as far as is known
	outside              // it is something else
)

// against tells where the finding lies, and how far off it may be.
func (f Finding) against() (is where, half float64) {
	half = f.K * f.Value.U
	switch {
	case f.Expected != nil:
		// What is expected may be off as well.
		half = math.Hypot(half, student(0)*f.Expected.U)
		if math.Abs(f.Value.V-f.Expected.V) > half {
			return outside, half
		}
		return inside, half
	case f.AboveZero && f.Low > 0:
		return inside, half
	case f.AboveZero && f.High < 0:
		return outside, half
	}
	return across, half
}

// Says is what is expected, for a person.
func (f Finding) Says() string {
	switch {
	case f.AboveZero:
		return "above 0"
	case f.Expected == nil:
		return "nothing of it"
	case f.Expected.U > 0:
		return withUnit(plain(f.Expected.V, f.Expected.U, 2), f.Unit) + " (k = 2)"
	}
	return withUnit(plain(f.Expected.V, 0, 0), f.Unit)
}

// closer says what would tell more, the most helpful first.
func (l *Lesson) closer(f *Finding, r *regression, half float64) (out []string) {
	w := &l.law
	if len(f.From) > 0 {
		out = append(out, "find out "+strings.Join(f.From, ", ")+": all points may be off by that alike")
	}
	if span := r.span(); span < 1.5 && w.fitX.to(1) == 0 { // a logarithm
		out = append(out, fmt.Sprintf("vary the %s further: the largest is only %.3g times the smallest", w.text.x, span))
	}
	want := w.sharp
	if f.AboveZero {
		want = math.Abs(f.Value.V)
	}
	// Half-widths go with Student's factor and one over the root of the number of points.
	n := len(r.points)
	if want > 0 && finite(half) {
		own := half / f.K
		for n < 100 && student(r.free+float64(n-len(r.points)))*own*math.Sqrt(float64(len(r.points))/float64(n)) > want {
			n++
		}
	}
	switch {
	case l.Many:
		out = append(out, "pluck louder and nearer one end, and let the string ring, so that more partials are heard; or take more plucks")
	case n >= 100:
		out = append(out, fmt.Sprintf("measure each point more carefully, and at wider differences of %s: more points like these would not do", w.text.x))
	case n > len(r.points):
		out = append(out, fmt.Sprintf("measure about %s more, the farther from the others the better", counted(n-len(r.points), "point")))
	}
	return out
}

// span is the largest of the plotted x over the smallest, of all points.
func (r *regression) span() float64 {
	lo, hi := math.Inf(1), 0.0
	for _, p := range r.points {
		v := math.Abs(r.law.x[0](p).V)
		lo, hi = min(lo, v), max(hi, v)
	}
	return hi / lo
}

// more says how to come by a line at all.
func (l *Lesson) more(points []Point) string {
	if l.Many {
		return "hear a pluck with more partials: pluck nearer one end, and let the string ring"
	}
	return fmt.Sprintf("measure at more values of the %s: %d at least, better %d", l.law.text.x, l.Least, l.Least+2)
}
