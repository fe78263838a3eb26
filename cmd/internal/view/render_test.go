package view

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

var update = flag.Bool("update", false, "write the golden screens anew")

// heard is a state in which a string was plucked at 4 s, of invented numbers.
func heard() *State {
	s := &State{Title: "pluckweigh tension", Ends: "no key is needed; q or Ctrl-C ends it"}
	for i := range 120 {
		t := float64(i) / 10
		x := Sign{Seconds: t, LevelDB: -62}
		if t > 4 {
			x.Note, x.Cents, x.Ringing, x.LevelDB = "A1", -12+6*math.Exp(-(t-4)), t < 11, -14-5*(t-4)
		}
		s.Hear(x)
	}
	p := Pluck{Number: 1, Onset: 4, To: 8, Trusted: true, Big: []string{"162.4 ± 1.2 N", "162.4 N"}, Beside: "tension 162.4 ± 1.2 N  (k = 2)",
		Facts: []string{"A1, f0 54.61588 ± 0.00028 Hz, B (6.1623 ± 0.0021)e-5  (k = 2)"}, Note: "A1", Cents: -12.1, U: 0.02}
	for n := 1; n <= 31; n++ {
		p.Rungs = append(p.Rungs, Rung{N: n, Off: 0.3 * math.Sin(float64(n)), U: 0.02 * float64(n), LevelDB: -20 - 1.3*float64(n), Used: n%7 != 0})
	}
	s.Tell(p)
	return s
}

func untrusted() *State {
	s := heard()
	s.Tell(Pluck{Number: 2, Onset: 10, To: 11.5, Doubts: []string{"more than one string is ringing"}})
	return s
}

func surveyed() *State {
	s := heard()
	s.Title = "pluckweigh survey: tenor"
	s.Tell(Pluck{Number: 2, Onset: 9, To: 11, Trusted: true, Big: []string{"3 A1 162.4 ± 1.2 N", "3 A1 162.4 N", "3 A1"},
		Beside: "3 A1 pulls 162.4 ± 1.2 N, at pitch 165.0 ± 1.2 N  (k = 2)"})
	s.Survey(Strung{Done: "2 of 4 done, left: 2 D2, 4 E1", Wanted: "pluck 2 D2 or 4 E1, damp the others", Known: "± cents (k = 2), as plucks made it less; good is 1 cent", Places: []Place{
		{Name: "1 G2", Good: true, Heard: true, Words: "-3.2 cents  pulls 158.1 ± 0.9 N", Reaches: []float64{0.4}},
		{Name: "2 D2", Words: "pluck it"},
		{Name: "3 A1", Good: true, Heard: true, Latest: true, Words: "-12.1 cents  pulls 162.4 ± 1.2 N", Reaches: []float64{2.1, 0.3}},
		{Name: "4 E1", Heard: true, Words: "+40.2 cents", Reaches: []float64{9, 4, 2, 1.4}},
	}})
	return s
}

func settled() *State {
	s := heard()
	s.Title = "pluckweigh settle: tenor E"
	c := Course{X: "time (min)", Y: "cents above E2", Ahead: 60, K: 2, Big: []string{"-8.565 ± 0.050", "-8.565"}, Beside: "E2 -8.565 ± 0.050 cents now  (k = 2)",
		Verdict: "within 1 cent for 60 min: not yet, about 89 min  (76 to 104 min with 95 %)", Facts: []string{"drifts by -2.67 ± 0.16 cents/h  (k = 2)"}}
	law := func(x float64) float64 { return -3.4 * math.Log1p(x/12) }
	for i := range 121 {
		x := float64(i)
		c.Law = append(c.Law, Law{x, law(x), 0.05 + max(0, x-60)*0.004})
	}
	for i := range 31 {
		x := 2 * float64(i)
		p := Point{X: x, Y: law(x) + 0.1*math.Sin(3*x), U: 0.04}
		if i == 9 {
			p.Y, p.Odd = p.Y+3, true
		}
		c.Points = append(c.Points, p)
	}
	s.Watch(c)
	return s
}

// full is an instrument of many strings, some of which are heard.
func full() *State {
	s := surveyed()
	x := Strung{Done: "5 of 14 done, left: 1 C5, 2 B4, 3 A#4, 4 A4, 5 G#4, 6 G4, ...", Wanted: "pluck 1 C5 or 2 B4 or another that is open; damp the others", Known: "± cents (k = 2), as plucks made it less; good is 1 cent"}
	for i := range 14 {
		p := Place{Name: fmt.Sprintf("%d %s", i+1, []string{"C5", "A#4", "G2"}[i%3])}
		if i > 8 {
			p.Good, p.Heard, p.Latest, p.Reaches, p.Words = true, true, i == 12, []float64{0.8, 0.017, 0.015}, "+99.24 ± 0.20 cents  pulls 172.9 ± 1.4 N"
		}
		x.Places = append(x.Places, p)
	}
	s.Survey(x)
	return s
}

// waiting is a string that settles, of which too little is known for a law.
func waiting() *State {
	s := heard()
	s.Title = "pluckweigh settle"
	s.Watch(Course{Waiting: "1 reading so far; one reading says where the pitch is, not whether it stays"})
	return s
}

func nothing() *State {
	return &State{Title: "pluckweigh listen", Ends: "no key is needed; q or Ctrl-C ends it"}
}

func TestScreensAreGolden(t *testing.T) {
	for name, state := range map[string]func() *State{"heard": heard, "untrusted": untrusted, "surveyed": surveyed, "settled": settled, "waiting": waiting, "full": full, "nothing": nothing} {
		for _, z := range [][2]int{{80, 24}, {50, 15}, {30, 6}, {160, 50}} {
			got := state().Render(z[0], z[1]) + "\n"
			file := filepath.Join("testdata", fmt.Sprintf("%s-%dx%d.txt", name, z[0], z[1]))
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("%s:\n%s\nnot:\n%s", file, got, want)
			}
		}
	}
}

// The README shows a screen as it is.
func TestReadmeShowsAScreen(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), "```text\n"+heard().Render(80, 24)+"\n```") {
		t.Error("it is another than that of testdata/heard-80x24.txt")
	}
}

// At any size there are as many lines as rows, none is too wide, and nothing but what a
// terminal prints is in them.
func TestScreensFit(t *testing.T) {
	for name, state := range map[string]func() *State{"heard": heard, "untrusted": untrusted, "surveyed": surveyed, "settled": settled, "waiting": waiting, "full": full, "nothing": nothing} {
		for wide := 1; wide < 130; wide++ {
			for high := 1; high < 60; high += 1 + wide%3 {
				lines := strings.Split(state().Render(wide, high), "\n")
				if len(lines) != high {
					t.Fatalf("%s %dx%d: %d lines", name, wide, high, len(lines))
				}
				for _, l := range lines {
					if utf8.RuneCountInString(l) > wide || strings.ContainsFunc(l, func(r rune) bool { return r < ' ' || r == 0x7f }) {
						t.Fatalf("%s %dx%d: %q", name, wide, high, l)
					}
				}
			}
		}
	}
}

func BenchmarkRender(b *testing.B) {
	for name, state := range map[string]*State{"heard": heard(), "surveyed": surveyed(), "settled": settled()} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				state.Render(160, 50)
			}
		})
	}
}
