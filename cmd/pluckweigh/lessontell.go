package main

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"pluckweigh/cmd/internal/chart"
	"pluckweigh/lesson"
	"pluckweigh/physics"
)

// verdicts are what the verdicts are called.
var verdicts = map[lesson.Verdict]string{
	lesson.Agrees:      "AGREES",
	lesson.Contradicts: "CONTRADICTS",
	lesson.NotShown:    "NOT SHOWN",
}

// pitchOf is a pitch among the points, where they have one; 0 for none.
func pitchOf(points []lesson.Point) float64 {
	if len(points) == 0 {
		return 0
	}
	return points[0].Y.V
}

// tell judges the points and prints, draws and writes what was asked for.
func (w *teaching) tell(c *class) error {
	g, err := w.givens(pitchOf(c.points))
	if err != nil {
		return err
	}
	o := w.of.Judge(c.points, g)
	o.Doubts = slices.Concat(c.doubts, o.Doubts)
	if w.e.json {
		err = writeLine(w.e.out, lessonJSON{o, c.points})
	} else {
		err = w.print(c, &o)
	}
	if err != nil {
		return err
	}
	if w.csv != "" {
		if err := put(w.csv, w.e.overwrite, func(to io.Writer) error { return w.of.WriteList(to, c.points) }); err != nil {
			return err
		}
		fmt.Fprintf(w.e.err, "wrote %s\n", w.csv)
	}
	if w.sheet != "" {
		if err := w.writeSheet(c, &o, g); err != nil {
			return err
		}
	}
	if w.picture.name != "" {
		f, err := lessonPicture(w.of, &o)
		if err == nil {
			err = w.picture.draw(f)
		}
		return err
	}
	return nil
}

// lessonJSON is what is printed with --json: the outcome, and what was measured as it was
// told and heard, in the order of the points.
type lessonJSON struct {
	lesson.Outcome
	Measured []lesson.Point `json:"measured"`
}

// print prints the outcome for a person.
func (w *teaching) print(c *class, o *lesson.Outcome) error {
	fmt.Fprintf(w.e.out, "%s: %s\n", w.of.Title, w.of.Question)
	t := tabwriter.NewWriter(w.e.out, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "  #")
	axes := append(slices.Clone(w.of.X), w.of.Y)
	for i, a := range axes {
		if i < len(w.of.X) && a.Optional && !slices.ContainsFunc(c.points, func(p lesson.Point) bool { return len(p.X) > i }) {
			continue
		}
		fmt.Fprintf(t, "\t%s", headOf(a, c.points, i))
	}
	fmt.Fprintf(t, "\t%s\tfrom\n", o.Axes.Off)
	for i, p := range c.points {
		fmt.Fprintf(t, "  %d", i+1)
		for k, a := range w.of.X {
			switch {
			case k < len(p.X):
				fmt.Fprintf(t, "\t%s", a.Say(p.X[k], physics.Coverage))
			case slices.ContainsFunc(c.points, func(p lesson.Point) bool { return len(p.X) > k }):
				fmt.Fprint(t, "\t-")
			}
		}
		fmt.Fprintf(t, "\t%s\t%s\t%s\n", w.of.Y.Say(p.Y, physics.Coverage), offOf(o.Placed[i]), remarkOf(p, o, i))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if len(o.Findings) > 0 {
		fmt.Fprintln(w.e.out)
		t = tabwriter.NewWriter(w.e.out, 0, 0, 2, ' ', 0)
		for _, f := range o.Findings {
			fmt.Fprintf(t, "  %s\t%s%s\n", f.Name, f.Text(), expectedOf(f))
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	fmt.Fprintf(w.e.out, "\n%s\n", folded("  "+verdicts[o.Verdict]+"  ", o.Say))
	for _, part := range []struct {
		title string
		items []string
	}{{"next", o.Next}, {"doubts", o.Doubts}} {
		if len(part.items) == 0 {
			continue
		}
		fmt.Fprintf(w.e.out, "\n  %s\n", part.title)
		for _, s := range part.items {
			fmt.Fprintln(w.e.out, folded("    ", s))
		}
	}
	return nil
}

// headOf names the column of an axis: with k where its values have uncertainties.
func headOf(a lesson.Axis, points []lesson.Point, i int) string {
	for _, p := range points {
		v := p.Y
		if i < len(p.X) {
			v = p.X[i]
		}
		if v.U > 0 {
			return expandedHead(a.Name)
		}
	}
	return a.Name
}

// offOf is how far a point lies off the law.
func offOf(p lesson.Placed) string {
	if !p.Fits {
		return "-"
	}
	return fmt.Sprintf("%+.2g", p.Off)
}

// remarkOf is where a point comes from, and what is to be said of it.
func remarkOf(p lesson.Point, o *lesson.Outcome, i int) string {
	s := p.From
	add := func(remark string) {
		if s != "" {
			s += "; "
		}
		s += remark
	}
	if p.Group != "" {
		add(p.Group)
	}
	if p.Note != "" {
		add(p.Note)
	}
	switch {
	case o.Placed[i].Aside != "":
		add("does not count: " + o.Placed[i].Aside)
	case slices.Contains(o.Odd, i):
		add("does not belong to the others")
	}
	return s
}

// expectedOf is what the law says of a finding, in a column of its own.
func expectedOf(f lesson.Finding) string {
	switch {
	case f.Expected != nil || f.AboveZero:
		return "\texpected: " + f.Says()
	}
	return ""
}

// lessonPicture lays the points out, the law with its band, and what is left over.
func lessonPicture(l *lesson.Lesson, o *lesson.Outcome) (chart.Fit, error) {
	if len(o.Curve) == 0 {
		return chart.Fit{}, &untrusted{"there is no line to draw", o.Next[0]}
	}
	band := "95 %"
	if o.Free > 0 && o.K == physics.Coverage {
		band = "k = 2"
	}
	f := chart.Fit{
		Title: fmt.Sprintf("%s: %s (bars: k = %d, band: %s)", l.Title, verdictWord(o.Verdict), physics.Coverage, band),
		X:     o.Axes.X, Y: o.Axes.Y, Off: o.Axes.Off, K: physics.Coverage,
	}
	wider := o.K / physics.Coverage // the picture has one k, that of the bars
	last := -1
	for _, c := range o.Curve {
		if c.Part != last {
			f.Curves, last = append(f.Curves, chart.FitCurve{}), c.Part
		}
		q := &f.Curves[len(f.Curves)-1]
		q.X, q.Y, q.U, q.UOff = append(q.X, c.X), append(q.Y, c.Y), append(q.U, wider*c.U), append(q.UOff, wider*c.UOff)
	}
	for i, p := range o.Placed {
		if !p.Fits && p.X == 0 && p.Y == 0 {
			continue // it has no place
		}
		name := p.Name
		if p.Aside != "" {
			name += " (set aside)"
		}
		f.Points = append(f.Points, chart.FitPoint{Name: name, X: p.X, UX: p.UX, Y: p.Y, UY: p.UY, Off: p.Off, UOff: p.UOff,
			Odd: slices.Contains(o.Odd, i), Aside: !p.Fits})
	}
	return f, nil
}

// verdictWord is a verdict within a line.
func verdictWord(v lesson.Verdict) string {
	switch v {
	case lesson.Agrees:
		return "the data agree with the law"
	case lesson.Contradicts:
		return "the data contradict the law"
	}
	return "these data do not show it"
}
