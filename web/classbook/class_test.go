package classbook

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"

	"pluckweigh/lesson"
	"pluckweigh/web/internal/secret"
)

func open(t *testing.T, path string) *Class {
	t.Helper()
	c, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

func join(t *testing.T, c *Class, name string) (Seat, string) {
	t.Helper()
	s, token, err := c.Join(name)
	if err != nil {
		t.Fatal(err)
	}
	return s, token
}

// at is a point of the lesson on lengths.
func at(metres, hertz float64) lesson.Point {
	return lesson.Point{X: []lesson.Value{{V: metres, U: 1e-4}}, Y: lesson.Value{V: hertz, U: 0.1}, From: "pluck 1"}
}

// A class that is opened again is as it was, its code, key and seats' tokens too.
func TestOutlastsARestart(t *testing.T) {
	path := filepath.Join(t.TempDir(), "class")
	c := open(t, path)
	s, token := join(t, c, "  Ada\t\u202e Example\x00 ")
	if s.Number != 1 || s.Name != "Ada Example" {
		t.Errorf("%+v", s)
	}
	for i := range 3 {
		if err := c.Add(1, "length", fmt.Sprint(i), []lesson.Point{at(0.65, 100+float64(i))}); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.Add(1, "length", "1", []lesson.Point{at(0.65, 101)}); err != nil {
		t.Errorf("what comes a second time: %v", err)
	}
	if err := c.Aside(2, "mistyped"); err != nil {
		t.Error(err)
	}
	if err := c.Teach("length", map[string]string{"start of the rule": "1mm"}); err != nil {
		t.Error(err)
	}
	before, code, key := c.State(), c.Code(), c.Teacher()
	if len(before.Entries) != 3 || before.Entries[1].Point.Aside != "mistyped" || before.Entries[0].Point.Group != "seat 1" {
		t.Errorf("%+v", before)
	}
	c.Close()
	if err := c.Aside(1, "x"); err == nil {
		t.Error("a class that is closed goes on")
	}

	again := open(t, path)
	if !reflect.DeepEqual(again.State(), before) || again.Code() != code || again.Teacher() != key {
		t.Errorf("%+v\nbefore: %+v", again.State(), before)
	}
	if back, ok := again.Back(token); !ok || back != s {
		t.Errorf("%+v, %v", back, ok)
	}
	if text, _ := os.ReadFile(path); strings.Contains(string(text), token) {
		t.Error("the file opens a seat")
	}
}

// Whatever is cut off the end, what was told to be kept before is there.
func TestCutOff(t *testing.T) {
	path := filepath.Join(t.TempDir(), "class")
	c := open(t, path)
	join(t, c, "")
	var kept []int // bytes after each point
	for i := range 5 {
		if err := c.Add(1, "length", fmt.Sprint(i), []lesson.Point{at(0.65, 100)}); err != nil {
			t.Fatal(err)
		}
		info, _ := os.Stat(path)
		kept = append(kept, int(info.Size()))
	}
	c.Close()
	text, _ := os.ReadFile(path)
	for n := kept[0]; n <= len(text); n += 7 {
		os.WriteFile(path, text[:n], 0o600)
		again, err := Open(path)
		if err != nil {
			t.Fatalf("cut at %d: %v", n, err)
		}
		want := 0
		for _, k := range kept {
			if k <= n {
				want++
			}
		}
		if got := len(again.State().Entries); got != want {
			t.Errorf("cut at %d: %d points of %d", n, got, want)
		}
		if err := again.Add(1, "length", "more", []lesson.Point{at(0.6, 110)}); err != nil {
			t.Error(err)
		}
		again.Close()
		third, err := Open(path)
		if err != nil || len(third.State().Entries) != want+1 {
			t.Fatalf("cut at %d and continued: %v", n, err)
		}
		third.Close()
	}
}

// A file in which a bit has flipped is refused, and never gives another point.
func TestDamaged(t *testing.T) {
	path := filepath.Join(t.TempDir(), "class")
	c := open(t, path)
	join(t, c, "")
	if err := c.Add(1, "length", "a", []lesson.Point{at(0.65, 100)}); err != nil {
		t.Fatal(err)
	}
	before := c.State()
	c.Close()
	text, _ := os.ReadFile(path)
	for i := 0; i < len(text)-1; i += 3 {
		bad := bytes.Clone(text)
		bad[i] ^= 4
		os.WriteFile(path, bad, 0o600)
		again, err := Open(path)
		var told *Error
		switch {
		case errors.As(err, &told) && told.Do != "":
		case err != nil:
			t.Errorf("byte %d: %v", i, err)
		default:
			if got := again.State(); len(got.Entries) > 0 && !reflect.DeepEqual(got, before) {
				t.Errorf("byte %d: %+v", i, got)
			}
			again.Close()
		}
	}
}

func TestRefuses(t *testing.T) {
	c := open(t, filepath.Join(t.TempDir(), "class"))
	join(t, c, "")
	p := []lesson.Point{at(0.65, 100)}
	for name, err := range map[string]error{
		"no seat":           c.Add(2, "length", "a", p),
		"seat 0":            c.Add(0, "length", "a", p),
		"another lesson":    c.Add(1, "tension", "a", p),
		"no lesson":         c.Add(1, "", "a", p),
		"no key":            c.Add(1, "length", "", p),
		"a long key":        c.Add(1, "length", strings.Repeat("k", 65), p),
		"no points":         c.Add(1, "length", "a", nil),
		"too many points":   c.Add(1, "length", "a", make([]lesson.Point, mostAtOnce+1)),
		"no point":          c.Add(1, "length", "a", []lesson.Point{{}}),
		"an implausible":    c.Add(1, "length", "a", []lesson.Point{at(65, 100)}),
		"point 0":           c.Aside(0, "x"),
		"no point there":    c.Aside(7, "x"),
		"no lesson to take": c.Teach("alchemy", nil),
	} {
		if err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	other := at(0.65, 100)
	other.Group, other.From = "seat 9", strings.Repeat("x", 1000)
	if err := c.Add(1, "length", "a", []lesson.Point{other}); err != nil {
		t.Fatal(err)
	}
	if e := c.State().Entries; len(e) != 1 || e[0].Seat != 1 || e[0].Point.Group != "seat 1" || len(e[0].Point.From) > mostWhy {
		t.Errorf("%+v", e)
	}
	for i := 1; i < mostOfSeat; i++ {
		c.seats[0].count["length"]++
	}
	if c.Add(1, "length", "b", p) == nil {
		t.Error("a seat adds without end")
	}
}

// Codes are found however they are written, and only those.
func TestCode(t *testing.T) {
	c := open(t, filepath.Join(t.TempDir(), "class"))
	code := c.Code()
	if len(code) != codeLength || strings.Trim(code, alphabet) != "" {
		t.Errorf("code %q", code)
	}
	for _, as := range []string{code, strings.ToLower(code), code[:3] + " " + code[3:], code[:3] + "-" + code[3:]} {
		if !c.Joins(as) {
			t.Errorf("%q does not join", as)
		}
	}
	for _, as := range []string{"", code[:5], code + "A", "000000", c.Teacher()} {
		if c.Joins(as) {
			t.Errorf("%q joins", as)
		}
	}
	if !c.Teaches(c.Teacher()) || c.Teaches("") || c.Teaches(code) {
		t.Error("the teacher's key")
	}
	if _, ok := c.Back(""); ok {
		t.Error("no token is a seat's")
	}
	if newCode() == newCode() || secret.New() == secret.New() {
		t.Error("two alike")
	}
}

// Seats add at once, and nothing is lost.
func TestManySeats(t *testing.T) {
	path := filepath.Join(t.TempDir(), "class")
	c := open(t, path)
	changed, end := c.Watch()
	defer end()
	var all sync.WaitGroup
	for range 50 {
		all.Go(func() {
			s, _, err := c.Join("")
			for i := 0; i < 4 && err == nil; i++ {
				err = c.Add(s.Number, "length", fmt.Sprint(i), []lesson.Point{at(0.65, 100)})
			}
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	<-changed
	want := c.State()
	c.Close()
	if again := open(t, path); len(want.Entries) != 200 || !reflect.DeepEqual(again.State(), want) {
		t.Errorf("%d points, %d after", len(want.Entries), len(again.State().Entries))
	}
	for range MostSeats - 50 {
		c.seats = append(c.seats, c.seats[0])
	}
	if _, _, err := c.Join(""); err == nil {
		t.Error("seats without end")
	}
}

// A class has one program.
func TestOneProgram(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for another to end")
	}
	path := filepath.Join(t.TempDir(), "class")
	open(t, path)
	if c, err := Open(path); err == nil {
		c.Close()
		t.Error("a class is open twice")
	}
}
