package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"pluckweigh/detect"
	"pluckweigh/lesson"
	"pluckweigh/lines"
	"pluckweigh/stock"
)

// A class is the points of a lesson, and what was left out.
type class struct {
	points []lesson.Point
	doubts []string
}

// A told take is a file and what was told of it.
type toldTake struct {
	name string // as it was typed
	file string
	x    []lesson.Value
	// Of a list.
	group, aside string
}

// gather collects the points. What there is comes with an error that came later.
func (w *teaching) gather(cmd *cobra.Command, args []string) (*class, error) {
	c := &class{}
	takes, err := w.named(c, args)
	if err != nil {
		return nil, err
	}
	if w.points != "" {
		if takes, err = w.readPoints(c); err != nil {
			return nil, err
		}
	}
	var files []string
	for _, t := range takes {
		if t.file != "" {
			files = append(files, t.file)
		}
	}
	if w.listen && len(files) > 0 {
		return nil, &callError{"--listen is the microphone, and takes are named", "leave one of the two out"}
	}
	if twice := namedTwice(files); twice != "" {
		return nil, &callError{fmt.Sprintf("take %s is named twice", twice), "name the take of each point once"}
	}
	if err := w.e.check(cmd, files); err != nil {
		return nil, err
	}
	w.e.judge = judge{many: true}
	if w.of.Clip {
		w.e.listen = func(x []float64, rate float64, o detect.Options) (detect.Take, error) {
			return detect.AnalyzeLoaded(x, rate, detect.Mass{}, o)
		}
	}
	if w.listen {
		fmt.Fprintln(w.e.err, strings.Join(w.of.Cautions, "\n"))
		err = w.live(cmd.Context(), c, takes)
	} else {
		err = w.hearAll(cmd.Context(), c, takes)
	}
	if err == nil && len(c.points) == 0 {
		err = &untrusted{"no point was measured that can be trusted", "pluck one string once, damp the others, and let it ring for two seconds or more"}
	}
	for _, n := range w.aside {
		if n > len(c.points) {
			err = errors.Join(err, &callError{fmt.Sprintf("--aside %d: there are %s", n, counted(len(c.points), "point")), "count them from 1, as they are listed"})
			continue
		}
		c.points[n-1].Aside = "set aside by hand"
	}
	return c, err
}

// named reads the points that the call names: those of typed numbers go to the class, the
// takes are still to be heard, or for --listen what is to be told of those.
func (w *teaching) named(c *class, args []string) (takes []toldTake, err error) {
	for _, a := range args {
		at := strings.IndexAny(a, ":=")
		switch {
		case a == "":
			return nil, &callError{"a point is empty", fmt.Sprintf("write it like %s or %s, or add --listen", w.example(":"), w.example("="))}
		case len(w.of.Asked()) == 0 && (at < 0 || a[at] == ':' || exists(a)):
			takes = append(takes, toldTake{name: a, file: a})
		case w.listen && at < 0:
			x, err := w.parseX(a, w.of.Asked())
			if err != nil {
				return nil, err
			}
			takes = append(takes, toldTake{name: a, x: x})
		case at < 0:
			return nil, &callError{fmt.Sprintf("%q is no point", a), fmt.Sprintf("write it like %s or %s, or add --listen", w.example(":"), w.example("="))}
		case a[at+1:] == "":
			return nil, &callError{fmt.Sprintf("%q says nothing behind its %q", a, a[at:at+1]), fmt.Sprintf("write it like %s or %s", w.example(":"), w.example("="))}
		case a[at] == ':':
			x, err := w.parseX(a[:at], w.of.Asked())
			if err != nil {
				return nil, err
			}
			takes = append(takes, toldTake{name: a[:at], file: a[at+1:], x: x})
		default:
			x, err := w.parseX(a[:at], w.of.X)
			if err != nil {
				return nil, err
			}
			y, err := w.of.Y.Parse(a[at+1:])
			if err != nil {
				return nil, inPoint(a, err)
			}
			p, err := w.of.Typed(x, y, "by hand")
			if err != nil {
				return nil, inPoint(a, err)
			}
			c.points = append(c.points, p)
		}
	}
	return takes, nil
}

// inPoint says in which point something is wrong.
func inPoint(point string, err error) error {
	return &callError{fmt.Sprintf("point %q: %v", point, err), hintOf(err)}
}

// parseX reads what is told of a point, its numbers parted by commas.
func (w *teaching) parseX(s string, axes []lesson.Axis) (x []lesson.Value, err error) {
	fields := strings.Split(s, ",")
	least := 0
	for _, a := range axes {
		if !a.Optional {
			least++
		}
	}
	if len(fields) < least || len(fields) > len(axes) {
		return nil, &callError{fmt.Sprintf("point %q: has %s, and the lesson takes %d", s, counted(len(fields), "number"), least), "write it like " + w.example(":")}
	}
	for i, f := range fields {
		v, err := axes[i].Parse(f)
		if err != nil {
			return nil, inPoint(s, err)
		}
		x = append(x, v)
	}
	return x, nil
}

// readPoints reads a list.
func (w *teaching) readPoints(c *class) (takes []toldTake, err error) {
	f, err := os.Open(w.points)
	if err != nil {
		return nil, unreadable(w.points, err)
	}
	defer f.Close()
	r, err := stock.NewLineReader(f)
	var cannot *os.PathError
	if errors.As(err, &cannot) {
		return nil, unreadable(w.points, err)
	}
	if err != nil {
		return nil, about("points", err)
	}
	entries, err := w.of.Read(r)
	var line *lines.Error
	if errors.As(err, &line) {
		return nil, &callError{w.points + ", " + line.Error(), line.Hint()}
	}
	if err != nil {
		return nil, about("points", err)
	}
	for _, e := range entries {
		if e.Take == "" {
			if e.Point.From == "" {
				e.Point.From = fmt.Sprintf("line %d", e.Line)
			}
			if err := w.of.Check(e.Point); err != nil {
				return nil, &callError{fmt.Sprintf("%s, line %d: %v", w.points, e.Line, err), hintOf(err)}
			}
			c.points = append(c.points, e.Point)
			continue
		}
		t := toldTake{name: e.Take, file: e.Take, x: e.Point.X, group: e.Point.Group, aside: e.Point.Aside}
		if !filepath.IsAbs(t.file) {
			t.file = filepath.Join(filepath.Dir(w.points), t.file)
		}
		takes = append(takes, t)
	}
	return takes, nil
}

// hearAll hears takes. One that gives no point is said and left out.
func (w *teaching) hearAll(ctx context.Context, c *class, takes []toldTake) error {
	for i, t := range takes {
		a, err := w.e.tell(ctx, t.file, fmt.Sprintf("take %d of %d: ", i+1, len(takes)), func(*answer) error { return nil })
		if err != nil && exitCode(err) != codeUntrusted {
			return err
		}
		if ctx.Err() != nil {
			return errors.Join(err, ctx.Err())
		}
		if err == nil {
			err = w.add(c, t, a)
		}
		if err != nil {
			report(w.e.err, err)
			c.doubts = append(c.doubts, fmt.Sprintf("the take %s was left out: %s", t.file, whyNot(a, err)))
		}
	}
	return nil
}

// whyNot says in short why a take gives no point.
func whyNot(a *answer, err error) string {
	if a != nil {
		for _, d := range a.fatal() {
			return d.Say
		}
	}
	return err.Error()
}

// add makes points of what was heard.
func (w *teaching) add(c *class, t toldTake, a *answer) error {
	from := filepath.Base(t.file)
	if t.file == "" {
		from = "microphone"
	}
	points, err := w.of.Hear(t.x, a.take, from)
	var unheard *lesson.UnheardError
	if errors.As(err, &unheard) {
		return &untrusted{from + ": " + unheard.Say, unheard.Fix}
	}
	if err != nil {
		return inPoint(t.name, err)
	}
	for i := range points {
		points[i].Group = t.group
		if t.aside != "" {
			points[i].Aside = t.aside
		}
	}
	for _, d := range a.doubts {
		points[0].Doubts = append(points[0].Doubts, d.Say)
	}
	c.points = append(c.points, points...)
	return nil
}
