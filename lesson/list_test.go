package lesson

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"pluckweigh/stock"
)

func readList(t *testing.T, l *Lesson, text string) ([]Entry, error) {
	t.Helper()
	r, err := stock.NewLineReader(strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return l.Read(r)
}

// Points of every lesson come back as they were written.
func TestListsThereAndBack(t *testing.T) {
	for _, c := range classes {
		l, err := Named(c.lesson)
		if err != nil {
			t.Fatal(err)
		}
		points, _ := c.draw(rand.New(rand.NewPCG(1, 2)), 0)
		points[0].Group, points[1].Aside, points[2].From = "left, bench", `it "slipped"`, "a.wav"
		var out bytes.Buffer
		if err := l.WriteList(&out, points); err != nil {
			t.Fatal(err)
		}
		got, err := readList(t, l, out.String())
		if err != nil || len(got) != len(points) {
			t.Fatalf("%s: %v of\n%s", c.lesson, err, out.String())
		}
		near := func(a, b Value) bool {
			return math.Abs(a.V-b.V) <= 1e-14*math.Abs(b.V) && math.Abs(a.U-b.U) <= 1e-12*math.Abs(b.U)
		}
		for i, e := range got {
			p, q := e.Point, points[i]
			if e.Line != i+2 || !near(p.Y, q.Y) || !near(p.X[0], q.X[0]) || len(p.X) != len(q.X) || p.Group != q.Group || p.Aside != q.Aside || p.From != q.From {
				t.Errorf("%s: %+v came back as %+v", c.lesson, q, p)
			}
		}
	}
}

func TestListsOfTakes(t *testing.T) {
	l, _ := Named("length")
	got, err := readList(t, l, "take,speaking length (in),string\na b.wav,25.5,one\nc.wav,20±0.02,two\n")
	if err != nil {
		t.Fatal(err)
	}
	want := []Entry{
		{2, Point{X: []Value{{0.6477, 0.5e-3, true}}, Group: "one"}, "a b.wav"},
		{3, Point{X: []Value{{0.508, 0.508e-3, false}}, Group: "two"}, "c.wav"},
	}
	for i := range got {
		p, q := &got[i].Point.X[0], &want[i].Point.X[0]
		if math.Abs(p.V-q.V)+math.Abs(p.U-q.U) > 1e-12 {
			t.Errorf("%v, not %v", *p, *q)
		}
		*p = *q
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v", got)
	}
	many, _ := Named("stiffness")
	if got, err := readList(t, many, "take\na.wav\n"); err != nil || got[0].Take != "a.wav" || len(got[0].Point.X) != 0 {
		t.Errorf("%+v %v", got, err)
	}
	warm, _ := Named("temperature")
	if got, err := readList(t, warm, "temperature of the string (°C);temperature of the air (°C);pitch (Hz)\n21.5;;196±0.01\n20±0.1;18;196.2\n"); err != nil || len(got[0].Point.X) != 1 || len(got[1].Point.X) != 2 {
		t.Errorf("%+v %v", got, err)
	}
}

func TestListsRefused(t *testing.T) {
	l, _ := Named("length")
	for text, why := range map[string]string{
		"":                                                       "list is empty",
		"speaking length (mm),take":                              "has no line below its head",
		"speaking length (mm)\n650\n":                            "has neither a column of takes nor one of the pitch",
		"take\na.wav\n":                                          "has no column of the speaking length",
		"speaking length (mm),take,pitch (Hz)\n":                 "has takes and what is heard",
		"speaking length,take\n":                                 `write it like "speaking length (mm)"`,
		"speaking length (kg),take\n":                            "unknown unit",
		"speaking lenght (mm),take\n":                            `did you mean "speaking length"?`,
		"speaking length (mm),take,take\n":                       "is there twice",
		"speaking length (mm),take (s)\n":                        "has a unit and needs none",
		"speaking length (mm),take\n650,\n":                      "line 2: line names no take",
		"speaking length (mm),take\n650,a,b\n":                   "line 2: line has 3 fields, and the first 2",
		"speaking length (mm),take\n,a\n":                        "line 2: speaking length is missing",
		"speaking length (mm),take\nlong,a\n":                    "line 2: speaking length",
		"speaking length (mm),pitch (Hz)\n650,NaN\n":             "line 2: pitch",
		"speaking length (mm),pitch (Hz)\n650,-3\n":              "line 2: pitch",
		"speaking length (mm),pitch (Hz)\n6500000,82\n":          "implausible",
		"speaking length (mm),pitch (Hz)\n650,1e9\n":             "implausible",
		"speaking length (mm),pitch (Hz)\n650±0.5±1,82\n":        "line 2: speaking length",
		"speaking length (mm),pitch (Hz)\n650,82\n\"600\n,80\n ": "line 3",
	} {
		_, err := readList(t, l, text)
		var hint interface{ Hint() string }
		if err == nil || !errors.As(err, &hint) || hint.Hint() == "" || !strings.Contains(err.Error()+hint.Hint(), why) {
			t.Errorf("%q: %v, not %q", text, err, why)
		}
	}
}

// Whatever stands in a list gives points that can be judged, or an error.
func FuzzRead(f *testing.F) {
	for _, l := range All() {
		f.Add(l.ID, l.Example(false)+"\n650,82\n1e9,-3\n")
		f.Add(l.ID, "string,set aside,"+l.Example(false)+"\na,b,0.5,1e-300\nb,,20,1±0\n")
	}
	f.Fuzz(func(t *testing.T, id, text string) {
		l, err := Named(id)
		if err != nil {
			return
		}
		entries, err := readList(t, l, text)
		if err != nil {
			return
		}
		var points []Point
		for _, e := range entries {
			points = append(points, e.Point)
		}
		mustBeFinite(t, l.Judge(points, Givens{"speaking length": {V: 0.65}}))
	})
}
