package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio"
	"pluckweigh/lesson"
	"pluckweigh/lesson/lessontest"
)

// Every lesson from takes whose truth is known, told as a pupil types it: the law is agreed
// with, and each constant holds the truth.
func TestLessonsFromTakes(t *testing.T) {
	for id := range lessontest.Lessons(nil) {
		t.Run(id, func(t *testing.T) {
			c := lessontest.OneClass(id)
			l, err := lesson.Named(id)
			if err != nil {
				t.Fatal(err)
			}
			args := []string{"lesson", id, "--json"}
			for _, g := range l.Givens {
				v, told := c.Givens[g.Name]
				flag := givenFlags[g.Name]
				if g.Name == lesson.Warmth {
					flag = "warmth"
				}
				if told {
					args = append(args, "--"+flag, lessontest.Typed([]lesson.Axis{g}, []lesson.Value{v})[0])
				}
			}
			dir := t.TempDir()
			for i, s := range c.All() {
				x, _, err := s.Take.Render()
				if err != nil {
					t.Fatal(err)
				}
				name := filepath.Join(dir, fmt.Sprintf("%d.wav", i))
				write(t, name, s.Take.Rate, x)
				if x := lessontest.Typed(l.Asked(), s.X); len(x) > 0 {
					name = strings.Join(x, ",") + ":" + name
				}
				args = append(args, name)
			}
			var out, errs bytes.Buffer
			if err := run(t.Context(), args, nil, &out, &errs); err != nil {
				t.Fatalf("%v %s", err, errs.String())
			}
			o := outcomeOf(t, out.String())
			if o.Verdict != lesson.Agrees {
				t.Errorf("%s: %s %v", o.Verdict, o.Say, o.Next)
			}
			known := 0
			for _, f := range o.Findings {
				truth, ok := c.Truth[f.Symbol]
				if !ok {
					continue
				}
				known++
				if !lessontest.Holds(f, truth) {
					t.Errorf("%s %s, and is %v", f.Name, f.Text(), truth)
				}
			}
			if known != len(c.Truth) {
				t.Errorf("%d constants of %d are found", known, len(c.Truth))
			}
		})
	}
}

// write leaves samples in a file.
func write(t *testing.T, name string, rate float64, x []float64) {
	t.Helper()
	w, err := audio.Create(name, rate)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Write(x); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}
