package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"pluckweigh/lesson"
)

// example is how a point is typed.
func (w *teaching) example(sign string) string {
	one := func(a lesson.Axis) string {
		s, _, _ := strings.Cut(a.Example, " or ")
		return s
	}
	axes := w.of.Asked()
	if sign == "=" {
		axes = w.of.X
	}
	var xs []string
	for _, a := range axes {
		if !a.Optional {
			xs = append(xs, one(a))
		}
	}
	x := strings.Join(xs, ",")
	switch {
	case sign == "=":
		return x + "=" + one(w.of.Y)
	case x == "":
		return "take.wav"
	}
	return x + ":take.wav"
}

// describe says what a lesson is about, what to beware of, and what to do.
func describe(l *lesson.Lesson) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n\n%s\n\nWhat to do\n", l.Title, l.Question, strings.Join(l.Cautions, "\n"))
	for i, s := range l.Steps {
		fmt.Fprintf(&b, "%s\n", folded(fmt.Sprintf("  %d. ", i+1), s))
	}
	fmt.Fprintf(&b, "\nWhat is expected\n%s\n%s", folded("  ", l.Law), folded("  ", "("+l.Source+")"))
	return b.String()
}

// folded is a text in lines of a terminal, those after the first set in as far as its head.
func folded(head, text string) string {
	const most = 90
	indent := strings.Repeat(" ", len([]rune(head)))
	var lines []string
	line := head
	empty := true
	for _, word := range strings.Fields(text) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > most {
			lines, line, empty = append(lines, line), indent, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	return strings.Join(append(lines, line), "\n")
}

// introduce says what the lesson is, and writes the sheet to fill in.
func (w *teaching) introduce(cmd *cobra.Command) error {
	if w.picture.name != "" || w.csv != "" || len(w.aside) > 0 {
		return &callError{"there are no points yet", seeHelp(cmd)}
	}
	if w.sheet != "" {
		if err := w.writeSheet(&class{}, nil, nil); err != nil {
			return err
		}
	}
	if w.e.json {
		return writeLine(w.e.out, w.of)
	}
	fmt.Fprintln(w.e.out, describe(w.of))
	fmt.Fprintf(w.e.out, "\nThen\n  pluckweigh lesson %s %s ...   (or --listen; see --help)\n", w.of.ID, w.example(":"))
	return nil
}
