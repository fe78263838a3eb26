package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

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
				if err := writeTake(name, s.Take.Rate, x); err != nil {
					t.Fatal(err)
				}
				if x := lessontest.Typed(l.Asked(), s.X); len(x) > 0 {
					name = strings.Join(x, ",") + ":" + name
				}
				args = append(args, name)
			}
			var out, errs bytes.Buffer
			if err := run(t.Context(), args, nil, &out, &errs); err != nil {
				t.Fatalf("%v %s", err, errs.String())
			}
			for _, w := range c.Wrong(outcomeOf(t, out.String()).Outcome) {
				t.Error(w)
			}
		})
	}
}
